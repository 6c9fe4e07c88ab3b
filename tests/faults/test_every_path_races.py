"""Fifty at once, by every way there is, for one floor, one kit and one volunteer: the database's own account after."""

import threading
from collections.abc import Callable, Mapping
from datetime import date, time, timedelta
from functools import partial

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from clinics.models import Clinic, Status
from core import clock, links
from core.refusal import Refusal
from kits.models import Kit, KitPlan
from kits.services.kit_plans import book_kit_plan
from people.models import Volunteer
from scheduling.models import Booking
from scheduling.services.series import book_series
from shifts.models import Proposal, ProposalLine, ProposalState, Reply, Shift, Swap
from shifts.services.cover import ask_volunteer
from shifts.services.proposals import take_lines
from shifts.services.swaps import answer_swap

pytestmark = pytest.mark.django_db(transaction=True)

Way = tuple[str, Callable[[], bool]]
OVERLAPS = {
    "bookings of a space": """select count(*) from scheduling_booking a join scheduling_booking b
        on a.id < b.id and a.space_id = b.space_id and a.period && b.period
        where a.status <> 'cancelled' and b.status <> 'cancelled'""",
    "bookings of a kit": """select count(*) from kits_kitbooking a join kits_kitbooking b
        on a.id < b.id and a.kit_id = b.kit_id and a.period && b.period
        where a.status <> 'cancelled' and b.status <> 'cancelled'""",
    "shifts of a volunteer": """select count(*) from shifts_assignment a join shifts_assignment b
        on a.id < b.id and a.volunteer_id = b.volunteer_id and a.period && b.period
        where a.released_at is null and a.reply <> 'declined' and b.released_at is null and b.reply <> 'declined'""",
    "people on a shift": """select count(*) from (select shift_id from shifts_assignment
        where released_at is null and reply <> 'declined' group by shift_id having count(*) > 1) twice""",
    "floors of a clinic": """select count(*) from (select clinic_id from scheduling_booking
        where status <> 'cancelled' group by clinic_id having count(*) > 1) twice""",
}


def all_at_once(ways: list[Way]) -> list[tuple[str, bool | Exception | None]]:
    """What each way came to: True won, False refused in words; an exception is what the test is here to find."""
    barrier = threading.Barrier(len(ways))
    out: list[tuple[str, bool | Exception | None]] = [(name, None) for name, _ in ways]

    def run(place: int, name: str, way: Callable[[], bool]) -> None:
        try:
            connection.ensure_connection()
            barrier.wait(timeout=60)
            out[place] = (name, way())
        except Refusal as refusal:
            assert str(refusal)
            out[place] = (name, False)
        except Exception as problem:  # the test looks at it
            out[place] = (name, problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(n, *way)) for n, way in enumerate(ways)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    return out


def by_page(client: Client, address: str, told: Mapping[str, object], refused: int = 422) -> bool:
    """True when the page took it; False when it said no in words on the page."""
    answer = client.post(address, told)
    assert answer.status_code in (302, refused), (address, answer.status_code, answer.content.decode()[:600])
    if answer.status_code == 302:
        return True
    words = answer.content.decode()
    assert any(mark in words for mark in ('class="invalid-feedback"', "alert-danger", 'role="alert"')), words
    return False


def by_two_presses(client: Client, address: str, told: Mapping[str, object]) -> bool:
    """A change shows first what it does; the second press, carrying what was shown, does it."""
    first = client.post(address, {**told, "again": "yes"})
    assert first.status_code in (200, 422), (address, first.status_code)
    if first.status_code == 422 or first.context["effects"] is None:
        return False
    second = client.post(address, {**told, "seen": first.context["effects"].fingerprint})
    # 200: the world has changed since the look, and the page says so.
    assert second.status_code in (200, 302, 422), (address, second.status_code)
    return second.status_code == 302


def suggest(client: Client, token: str, told: Mapping[str, object], booking: Booking) -> bool:
    """The center names another time by its link, and the office takes it."""
    if not by_page(Client(), reverse("booking-answer", args=[token]), told):
        return False
    address = reverse("booking-take-suggestion", args=[booking.pk])
    page = client.get(address, follow=True)
    # A press that comes after the world has changed shows the new effects: press again, as a person would.
    for _ in range(50):
        if page.context is None or page.context.get("effects") is None:
            break
        page = client.post(address, {"seen": page.context["effects"].fingerprint}, follow=True)
    assert page.status_code == 200
    booking.refresh_from_db()
    if booking.answer == "agreed":
        return True
    words = page.content.decode()
    assert "is reserved" in words or "was just booked" in words
    return False


def repeat(clinic: Clinic, day: date) -> bool:
    return bool(book_series(clinic=clinic, days=[day], now=clock.now()))


def book_plan(plan: KitPlan) -> bool:
    return book_kit_plan(plan=plan, now=clock.now()) == 1


def ask(shift: Shift, volunteer: Volunteer) -> bool:
    return bool(ask_volunteer(shift=shift, volunteer=volunteer, now=clock.now()))


def take(line: ProposalLine) -> bool:
    done, _ = take_lines(proposal=line.proposal, ids={line.pk}, now=clock.now())
    line.refresh_from_db()
    assert line.outcome
    return done == 1


def agree(swap: Swap) -> bool:
    return answer_swap(swap=swap, yes=True, now=clock.now()).state == Swap.State.DONE


def test_fifty_by_every_way_for_one_space_one_kit_and_one_volunteer(
    make_space, make_clinic, make_shift, make_volunteer, make_assignment, coordinator, signed_in
):
    now = clock.now()
    floor = make_space(name="The floor")
    center, day = floor.center, clock.today(floor.center.tz) + timedelta(days=21)
    kit = Kit.objects.create(name="The bag")
    imara = make_volunteer("Imara Venn", duties=("coach",))

    def office() -> Client:
        return signed_in(coordinator)

    def told(minute: int) -> Mapping[str, object]:
        return {
            "center": center.pk, "space": floor.pk, "day": day.isoformat(), "starts": f"10:{minute:02}",
            "ends": "12:00", "ratio_table": "aca_day_camp", "kit": kit.pk,
            "youngest_1": 7, "oldest_1": 10, "children_1": 16,
        }  # fmt: skip

    def then() -> Shift:
        """A clinic elsewhere at the same hour, with one shift open."""
        return make_shift(make_clinic(days=21, starts=time(10), ends=time(12)))

    ways: list[Way] = []
    for number in range(8):
        ways.append(("form", partial(by_page, office(), reverse("clinic-new"), told(number))))
    for number in range(6):
        moved = make_clinic(floor, days=30 + number)
        ways.append(("move", partial(by_two_presses, office(), reverse("clinic-change", args=[moved.pk]), told(5))))
    for number in range(6):
        booking = Booking.objects.get(clinic=make_clinic(floor, days=40 + number, status=Status.TENTATIVE))
        token = links.make("booking", subject=booking.pk, counter=0, expires_at=booking.period.lower)
        other = {"answer": "another time", "day": day.isoformat(), "starts": "10:00", "ends": "12:00"}
        ways.append(("suggestion", partial(suggest, office(), token, other, booking)))
    for number in range(6):
        like = make_clinic(floor, days=50 + number, starts=time(10), ends=time(12))
        ways.append(("series", partial(repeat, like, day)))
    for _ in range(6):
        served = {str(then().clinic_id): kit.pk}
        plan = KitPlan.objects.create(
            first_day=day, last_day=day, asked_at=now, state="ready", result={"served": served}
        )
        ways.append(("kit plan", partial(book_plan, plan)))
    for _ in range(5):
        ways.append(("ask", partial(ask, then(), imara)))
    for _ in range(4):
        row = make_assignment(then(), imara, reply=Reply.DECLINED)
        token = links.make("shift", subject=row.pk, counter=0, expires_at=row.shift.clinic.ends_at)
        ways.append(
            ("reply link", partial(by_page, Client(), reverse("shift-reply", args=[token]), {"answer": "yes"}, 409))
        )
    for _ in range(5):
        shift = then()
        proposal = Proposal.objects.create(first_day=day, last_day=day, asked_at=now, state=ProposalState.READY)
        line = ProposalLine.objects.create(
            proposal=proposal, shift=shift, clinic=shift.clinic, duty="coach", kind="added", volunteer=imara
        )
        ways.append(("proposal", partial(take, line)))
    for _ in range(4):
        swap = Swap.objects.create(assignment=make_assignment(then()), to=imara, asked_at=now)
        ways.append(("swap", partial(agree, swap)))
    assert len(ways) == 50

    out = all_at_once(ways)

    odd = [(name, repr(result)) for name, result in out if not isinstance(result, bool)]
    assert not odd, odd
    won = [name for name, result in out if result]
    with connection.cursor() as cursor:
        for what, sql in OVERLAPS.items():
            cursor.execute(sql)
            assert cursor.fetchone() == (0,), what
    assert sum(name in ("form", "move", "suggestion", "series") for name in won) == 1, won
    assert sum(name in ("ask", "reply link", "proposal", "swap") for name in won) == 1, won
    # The bag goes with the floor's winner, if that had asked for it, or to one kit plan.
    assert sum(name in ("form", "move", "kit plan") for name in won) == 1, won
    assert imara.assignments.live().count() == 1
