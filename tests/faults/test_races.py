"""Two at once on a real PostgreSQL: exactly one wins, and the loser reads why."""

import threading
from collections.abc import Callable
from datetime import time, timedelta

import pytest
from django.db import connection

from core import clock
from core.refusal import Refusal
from scheduling.models import Booking
from scheduling.services.bookings import ClinicFacts, book_clinic
from shifts.models import Assignment, Reply
from shifts.services.cover import ask_volunteer, record_reply

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(*calls: Callable[[], object]) -> list[object]:
    """Run the calls in threads that start together; what each returned or was refused with."""
    barrier = threading.Barrier(len(calls))
    out: list[object] = [None] * len(calls)

    def run(place: int, call: Callable[[], object]) -> None:
        try:
            barrier.wait(timeout=60)
            out[place] = call()
        except Exception as problem:  # the test looks at it
            out[place] = problem
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(place, call)) for place, call in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    return out


def test_one_space_two_coordinators_one_wins_and_the_other_reads_who(make_space):
    space = make_space(name="Main floor")
    day = clock.today(space.center.tz) + timedelta(days=14)

    def book(starts: time, ends: time) -> Callable[[], object]:
        facts = ClinicFacts(center=space.center, space=space, day=day, starts=starts, ends=ends, bands=[(7, 10, 16)])
        return lambda: book_clinic(facts=facts, now=clock.now())

    out = at_once(
        *(book(time(9, 30), time(11, 30)) for _ in range(3)),
        *(book(time(10), time(12)) for _ in range(3)),
    )

    losers = [answer for answer in out if isinstance(answer, Refusal)]
    assert Booking.objects.live().count() == 1 and len(losers) == 5
    for loser in losers:
        assert loser.codes == {"space taken"}
        assert space.center.name in str(loser)


def test_the_constraint_holds_the_space_even_when_nobody_locks(make_clinic, make_space):
    space = make_space()
    first = make_clinic(space)
    second = make_clinic(make_space())
    period = Booking.objects.get(clinic=first).period

    def grab() -> object:
        return Booking.objects.filter(clinic=second).update(space=space, period=period)

    (problem,) = at_once(grab)

    assert "one_booking_per_space_at_a_time" in str(problem)


def test_one_volunteer_asked_for_two_clinics_at_once_is_in_one(make_shift, make_clinic, make_volunteer):
    imara = make_volunteer("Imara Venn")
    shifts = [make_shift(make_clinic()) for _ in range(4)]

    out = at_once(*(lambda s=s: ask_volunteer(shift=s, volunteer=imara, now=clock.now()) for s in shifts))

    losers = [answer for answer in out if isinstance(answer, Refusal)]
    assert Assignment.objects.live().count() == 1 and len(losers) == 3
    assert all(loser.codes == {"elsewhere"} for loser in losers)


def test_one_shift_two_volunteers_asked_at_once_has_one(make_shift, make_volunteer):
    shift = make_shift()
    people = [make_volunteer() for _ in range(4)]

    out = at_once(*(lambda p=p: ask_volunteer(shift=shift, volunteer=p, now=clock.now()) for p in people))

    losers = [answer for answer in out if isinstance(answer, Refusal)]
    assert Assignment.objects.live().count() == 1
    assert len(losers) == 3 and all(loser.codes == {"taken"} for loser in losers)


def test_yes_and_no_at_once_leave_one_clear_answer(make_assignment):
    row = make_assignment(reply=Reply.NEEDS_ACTION)

    def reply(answer):
        return lambda: record_reply(assignment=row, reply=answer, by="by link", now=clock.now())

    at_once(reply(Reply.ACCEPTED), reply(Reply.DECLINED), reply(Reply.ACCEPTED))

    row.refresh_from_db()
    last = row.replies.order_by("-pk").first()
    assert last is not None and row.reply == last.reply
