"""Moving and shortening: who stays, who is asked again, who is told, and that the preview says just that."""

import uuid
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from clinics.models import Center, Clinic
from core.refusal import Refusal
from families.models import Guardian, Spot
from families.services.registering import register
from kits.models import Kit, KitBooking
from kits.services.holds import hold_kit
from outbox.letters import build
from outbox.models import Note
from people.models import Clearance, Volunteer
from scheduling.letters.bookings import BOOKING_ASK, BOOKING_SHORTER
from scheduling.models import Booking
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic, change_rest, supposing
from scheduling.services.clinic_facts import ClinicFacts, facts_of
from scheduling.services.effects import effects_of
from scheduling.services.series import book_series, rest_of
from shifts.letters.backup_swaps import BACKUP_ENDED
from shifts.letters.shifts import SHIFT_CHANGED, SHIFT_RELEASED, SHIFT_TOLD
from shifts.models import Assignment, Away, Backup, Reply, Shift, Swap
from shifts.rules.moves import Hours, needs_asking, within_hold
from shifts.services.shifts import fit_shifts

pytestmark = pytest.mark.django_db
TOL = timedelta(minutes=15)
TWO = timedelta(days=2)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2027, 1, day, hour, minute)


def hours(day: int, start: tuple[int, int], end: tuple[int, int]) -> Hours:
    return Hours(at(day, *start), at(day, *end))


@pytest.mark.parametrize(
    ("after", "asks"),
    [
        (hours(9, (9, 30), (11, 30)), False),
        (hours(9, (9, 45), (11, 45)), False),  # a quarter of an hour later
        (hours(9, (9, 46), (11, 30)), False),  # later begin, inside the old hours
        (hours(9, (9, 46), (11, 46)), True),
        (hours(9, (9, 15), (11, 30)), False),
        (hours(9, (9, 14), (11, 30)), True),
        (hours(9, (10, 0), (11, 0)), False),  # shortened at both ends
        (hours(10, (9, 30), (11, 30)), True),
    ],
)
def test_a_small_change_on_the_same_day_and_a_shortening_ask_nobody_again(after, asks):
    assert needs_asking(hours(9, (9, 30), (11, 30)), after, TOL) is asks
    assert needs_asking(hours(9, (9, 30), (11, 30)), after, TOL, same_center=False)


@given(st.integers(0, 600), st.integers(1, 240), st.integers(-60, 60), st.integers(-60, 60))
def test_who_need_not_be_asked_is_never_away_from_home_for_longer_than_twice_the_tolerance(start, length, one, two):
    before = Hours(at(9, 0) + timedelta(minutes=start), at(9, 0) + timedelta(minutes=start + length))
    after = Hours(before.start + timedelta(minutes=one), before.end + timedelta(minutes=two))
    if after.start < after.end and not needs_asking(before, after, TOL):
        more = max(before.start - after.start, timedelta(0)) + max(after.end - before.end, timedelta(0))
        assert more <= 2 * TOL


def test_the_center_is_asked_again_unless_its_yes_covers_what_is_wanted():
    held, inside = (at(9, 9), at(9, 12)), (at(9, 9, 30), at(9, 12))
    assert within_hold(held, inside, agreed=True, same_space=True)
    assert not within_hold(held, inside, agreed=False, same_space=True)
    assert not within_hold(held, inside, agreed=True, same_space=False)
    assert not within_hold(held, (at(9, 9), at(9, 12, 1)), agreed=True, same_space=True)


@pytest.fixture
def staffed(make_clinic, make_volunteer, make_assignment):
    """A confirmed clinic, two people who said yes and one who has not answered, its center's yes in the books."""
    clinic = make_clinic(days=10)
    Booking.objects.filter(clinic=clinic).update(answer="agreed")
    fit_shifts(clinic)
    rows = []
    for shift, reply in zip(clinic.shifts.order_by("position"), ("accepted", "accepted", "needs-action"), strict=False):
        person = make_volunteer(duties=(shift.duty_id,), cleared=("screening", "conduct", "first_aid"))
        rows.append(make_assignment(shift, person, reply=reply))
    return clinic, rows


@pytest.fixture
def make_kit(db):
    return lambda: Kit.objects.create(name=f"Bag {Kit.objects.count() + 1}")


def move(clinic: Clinic, **change: object) -> ClinicFacts:
    fresh = Clinic.objects.select_related("center").prefetch_related("bands").get(pk=clinic.pk)
    return replace(facts_of(fresh), **change)  # type: ignore[arg-type]


def test_ten_minutes_later_keeps_every_yes_and_tells_with_a_higher_sequence(staffed, now):
    clinic, (first, second, silent) = staffed
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(9, 40), ends=time(11, 40)), now=now)

    for row in (first, second):
        before = row.sequence
        row.refresh_from_db()
        assert row.reply == Reply.ACCEPTED and row.sequence == before + 1
    silent.refresh_from_db()
    assert silent.reply == Reply.NEEDS_ACTION and Note.objects.about(silent).filter(kind=SHIFT_CHANGED).exists()
    note = Note.objects.about(first).get(kind=SHIFT_TOLD)
    mail = build(note, now)
    part = str(mail.alternatives[-1][0]).replace("\r\n ", "")
    assert "You still have your lead shift" in mail.body and "9:40" in mail.body
    assert f"UID:{first.uid}" in part and f"SEQUENCE:{first.sequence}" in part and "METHOD:REQUEST" in part
    clinic.refresh_from_db()
    assert clinic.status == "tentative", "ten minutes past the hold: the center is asked"


def test_a_shortening_keeps_everything_and_gives_the_center_its_time_back(staffed, now):
    clinic, (first, second, _) = staffed
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(10), ends=time(11)), now=now)

    clinic.refresh_from_db()
    held = Booking.objects.live().get(clinic=clinic)
    assert clinic.status == "confirmed" and held.status == "confirmed" and held.answer == "agreed"
    assert held.period.upper - held.period.lower == timedelta(hours=2)
    assert not Note.objects.filter(kind=BOOKING_ASK, state="waiting").exists()
    letter = build(Note.objects.get(kind=BOOKING_SHORTER), now)
    assert "need to do anything" in letter.body
    assert Assignment.objects.accepted().filter(pk__in=[first.pk, second.pk]).count() == 2


def test_an_hour_later_asks_everybody_again_and_ends_backups_and_swaps(staffed, make_volunteer, now):
    clinic, (first, _, _) = staffed
    Backup.objects.create(clinic=clinic, duty_id="coach", volunteer=make_volunteer(), since=now)
    swap = Swap.objects.create(assignment=first, to=make_volunteer(), asked_at=now)
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(10, 30), ends=time(12, 30)), now=now)

    first.refresh_from_db()
    swap.refresh_from_db()
    assert first.reply == Reply.NEEDS_ACTION and not Backup.objects.exists()
    assert swap.state == Swap.State.REFUSED and "new time" in swap.words
    assert Note.objects.filter(kind=SHIFT_CHANGED).count() == 3


def test_who_can_not_be_there_any_more_is_released_with_the_reason(
    staffed, make_clinic, make_shift, make_assignment, now
):
    clinic, (first, second, _) = staffed
    elsewhere = make_clinic(days=11)
    make_assignment(make_shift(elsewhere, first.shift.duty_id), first.volunteer)
    Clearance.objects.filter(volunteer=second.volunteer).update(expires_on=clinic.day)
    change_clinic(clinic=clinic, facts=move(clinic, day=clinic.day + timedelta(days=1)), now=now)

    first.refresh_from_db()
    second.refresh_from_db()
    assert elsewhere.center.name in first.released_because
    assert second.released_because == "one of your clearances won’t be current on the new day"


@pytest.mark.parametrize(
    "change",
    [
        {"day": 1},
        {"day": 9, "starts": time(18), "ends": time(20)},
        {"center": "another"},
        {"kit": "another"},
        {"kit": "another", "day": 2, "center": "another"},
        {"starts": time(9, 40), "ends": time(11, 40)},
        {"starts": time(10), "ends": time(11)},
        {"starts": time(13), "ends": time(15)},
        {"bands": [(7, 10, 40)]},
        {"bands": [(9, 10, 8)]},
        {"theme": "Paper bridges"},
        {},
    ],
)
def test_the_preview_says_what_then_happens_and_leaves_nothing(
    staffed,
    household,
    make_space,
    make_kit,
    make_volunteer,
    make_clinic,
    make_shift,
    make_assignment,
    now,
    change,
):
    clinic, (first, second, _) = staffed
    # Something for every line of the preview: away, elsewhere, a backup, an open swap, a kit.
    Away.objects.create(volunteer=second.volunteer, first_day=clinic.day + TWO, last_day=clinic.day + TWO)
    make_assignment(make_shift(make_clinic(days=11), first.shift.duty_id), first.volunteer)
    Backup.objects.create(clinic=clinic, duty_id="coach", volunteer=make_volunteer(), since=now)
    Swap.objects.create(assignment=first, to=make_volunteer(), asked_at=now)
    bag, other_bag, house = make_kit(), make_kit(), make_space()
    hold_kit(clinic, bag)
    change = change | ({"day": clinic.day + timedelta(days=change["day"])} if "day" in change else {})
    change = change | ({"center": house.center, "space": house} if "center" in change else {})
    change = change | ({"kit": other_bag} if "kit" in change else {})
    for years in (7, 10):
        facts = household((f"Child {years}", date(clinic.day.year - years, 1, 1)))
        register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now)
    facts = move(clinic, **change)

    def act() -> object:
        return change_clinic(clinic=clinic, facts=facts, now=now)

    tables = (Note, Assignment, Booking, KitBooking, Clinic, Backup, Swap, Spot, Shift)

    def books() -> list[object]:
        return [list(model.objects.order_by("pk").values()) for model in tables]

    before = books()
    seen = effects_of(act, [clinic])
    assert books() == before
    assert effects_of(act, [clinic]).fingerprint == seen.fingerprint

    spots, shifts = set(Spot.objects.live().values_list("pk", flat=True)), set(clinic.shifts.values_list("pk"))
    last = Note.objects.order_by("-pk").first()
    act()
    new = Note.objects.filter(pk__gt=last.pk if last else 0).order_by("pk")
    one = seen.clinics[0]
    assert [to for to, _ in seen.notes] == [note.to_name for note in new]
    kinds = {
        "stays": SHIFT_TOLD,
        "asked again": SHIFT_CHANGED,
        "released": SHIFT_RELEASED,
        "stands down": BACKUP_ENDED,
    }
    told = {(note.to_name, note.kind) for note in new if note.number_of(Volunteer)}
    assert {(who.name, kinds[who.what]) for who in one.people if who.what != "swap ends"} == told
    gone = Swap.objects.filter(state=Swap.State.REFUSED).count()
    assert sum(who.what == "swap ends" for who in one.people) == gone
    assert one.households == len({note.number_of(Guardian) for note in new.about_some(Guardian)})
    assert one.spots_ended == len(spots - set(Spot.objects.live().values_list("pk", flat=True)))
    assert bool(one.shifts) == (shifts != set(Clinic.objects.get(pk=clinic.pk).shifts.values_list("pk")))
    held = KitBooking.objects.exclude(status="cancelled").get(clinic=clinic).kit
    assert one.kit == ("" if held == bag else f"{held.name} will be booked for this clinic.")
    space = Booking.objects.live().get(clinic=clinic).space
    assert one.after.endswith(f", {space.name}") and str(Clinic.objects.get(pk=clinic.pk).day.day) in one.after
    centers = new.filter(kind__in=["booking-ask", "booking-shorter", "space-released"])
    assert all(note.to_name in one.center for note in centers) and bool(one.center) == centers.exists()


def test_who_is_away_or_has_no_time_for_the_way_is_taken_off_and_who_knew_before_is_left(
    staffed, make_clinic, make_shift, make_assignment, make_center, make_space, now
):
    clinic, (first, second, silent) = staffed
    Center.objects.filter(pk=clinic.center_id).update(latitude=41.5, longitude=-77.5)
    far = make_space(make_center(latitude=41.95, longitude=-77.5))  # some 50 km, an hour and a half by road
    Away.objects.create(volunteer=second.volunteer, first_day=clinic.day, last_day=clinic.day + TWO)
    evening = make_clinic(far, days=10, starts=time(14), ends=time(16))
    make_assignment(make_shift(evening, first.shift.duty_id), first.volunteer)
    noon = make_clinic(make_space(far.center), days=10, starts=time(13, 15), ends=time(14))
    make_assignment(make_shift(noon, silent.shift.duty_id), silent.volunteer)
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(10, 30), ends=time(12, 15)), now=now)
    for row in (first, second, silent):
        row.refresh_from_db()
    assert "enough travel time from your shift" in first.released_because and far.center.name in first.released_because
    assert second.released_at is None, "the same day: they said yes in spite of being away"
    change_clinic(clinic=clinic, facts=move(clinic, day=clinic.day + timedelta(days=1)), now=now)
    second.refresh_from_db()
    assert "away on the new day" in second.released_because
    assert silent.released_at is None, "too far before as well: that is theirs to say"


def test_who_stood_by_is_told_when_it_moves_and_when_it_is_cancelled(staffed, make_volunteer, now):
    clinic, _ = staffed
    one, two = make_volunteer(), make_volunteer()
    Backup.objects.create(clinic=clinic, duty_id="coach", volunteer=one, since=now)
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(15), ends=time(17)), now=now)
    mail = build(Note.objects.about(one).get(kind=BACKUP_ENDED), now)
    assert "has a new time" in mail.body and "15:00" in mail.body
    Backup.objects.create(clinic=clinic, duty_id="coach", volunteer=two, since=now)
    cancel_clinic(clinic=clinic, because="Burst pipe", now=now)
    mail = build(Note.objects.about(two).get(kind=BACKUP_ENDED), now)
    assert "cancelled: Burst pipe" in mail.body and not Backup.objects.exists()


def test_a_taken_kit_keeps_no_row_from_moving_and_the_preview_says_that_it_stays_behind(
    make_clinic, make_space, make_kit, now
):
    space, bag = make_space(), make_kit()
    first = make_clinic(space, days=10)
    hold_kit(first, bag)
    (second,) = book_series(clinic=first, days=[first.day + timedelta(weeks=1)], now=now)
    hold_kit(make_clinic(days=18), bag)  # the day after the second
    first.refresh_from_db()
    facts = move(first, day=first.day + timedelta(days=1))
    seen = effects_of(lambda: change_rest(clinic=first, facts=facts, now=now), rest_of(first, now))
    assert [one.kit for one in seen.clinics] == ["", f"{bag.name} will no longer be used."]
    change_rest(clinic=first, facts=facts, now=now)
    live = KitBooking.objects.exclude(status="cancelled")
    assert live.filter(clinic=first).exists() and not live.filter(clinic=second).exists()


def test_a_row_that_moves_into_its_own_days_names_the_one_true_clash(make_clinic, make_space, now):
    space = make_space()
    first = make_clinic(space, days=10)
    days = [first.day + timedelta(weeks=week) for week in range(1, 5)]
    book_series(clinic=first, days=days, now=now)
    make_clinic(space, days=45)  # where the last would go
    with pytest.raises(Refusal) as refused:
        change_rest(clinic=first, facts=move(first, day=days[0]), now=now)
    assert len(refused.value.reasons) == 1


def test_a_row_moves_on_the_wall_clock_over_the_nights_on_which_clocks_change(
    make_clinic, make_center, make_space, now
):
    space = make_space(make_center(time_zone="America/New_York"))
    first = make_clinic(space, days=3)
    # A year of them has both nights in it, whatever day this runs.
    days = [first.day + timedelta(weeks=4 * week) for week in range(1, 14)]
    made = [first, *book_series(clinic=first, days=days, now=now)]
    assert len({one.local_start.utcoffset() for one in made}) == 2
    changed = change_rest(clinic=first, facts=move(first, starts=time(12), ends=time(14)), now=now)
    assert {(one.local_start.time(), one.local_end.time()) for one in changed} == {(time(12), time(14))}
    assert [one.day for one in changed] == [first.day, *days]
    held = Booking.objects.live().filter(clinic__in=changed)
    assert {row.period.upper - row.period.lower for row in held} == {timedelta(hours=3)}


def test_the_rest_of_a_row_moves_by_the_same_difference_all_or_none(make_clinic, make_space, now):
    space = make_space()
    first = make_clinic(space, days=10)
    days = [first.day + timedelta(weeks=week) for week in range(1, 5)]
    made = book_series(clinic=first, days=days, now=now)
    facts = move(first, day=first.day + timedelta(days=7), starts=time(10), ends=time(12))
    changed = change_rest(clinic=first, facts=facts, now=now)

    # Each takes the day that the next one had, so the order of moving matters.
    assert [one.day for one in changed] == [*days, days[-1] + timedelta(days=7)]
    assert {one.local_start.time() for one in changed} == {time(10)}
    assert {one.pk for one in changed} == {first.pk, *(one.pk for one in made)}


def test_one_clash_keeps_the_whole_row_where_it_was_and_each_day_is_named(make_clinic, make_space, now):
    space = make_space()
    first = make_clinic(space, days=10)
    days = [first.day + timedelta(weeks=week) for week in range(1, 4)]
    book_series(clinic=first, days=days, now=now)
    make_clinic(space, days=18)
    make_clinic(space, days=25)
    before = list(Clinic.objects.order_by("pk").values_list("starts_at", flat=True))
    with pytest.raises(Refusal) as refused:
        change_rest(clinic=first, facts=move(first, day=first.day + timedelta(days=1)), now=now)

    assert len(refused.value.reasons) == 2 and refused.value.codes == {"space taken"}
    assert list(Clinic.objects.order_by("pk").values_list("starts_at", flat=True)) == before


def test_a_date_moved_by_itself_stays_in_its_row(make_clinic, now):
    first = make_clinic(days=10)
    (other,) = book_series(clinic=first, days=[first.day + timedelta(weeks=1)], now=now)
    change_clinic(clinic=other, facts=move(other, starts=time(14), ends=time(16)), now=now)
    first.refresh_from_db()
    other.refresh_from_db()

    assert other.series == first.series and [one.pk for one in rest_of(first, now)] == [first.pk, other.pk]


def posted(clinic: Clinic, **change: object) -> dict[str, object]:
    facts = move(clinic)
    data: dict[str, object] = {
        "center": facts.center.pk, "space": facts.space.pk, "day": facts.day, "starts": "09:30", "ends": "11:30",
        "ratio_table": facts.ratio_table, "youngest_1": 7, "oldest_1": 10, "children_1": 16,
    }  # fmt: skip
    return data | change


def test_the_page_shows_every_person_before_it_saves_and_saves_what_was_shown(
    staffed, coordinator, signed_in, make_volunteer
):
    clinic, rows = staffed
    client, address = signed_in(coordinator), reverse("clinic-change", args=[clinic.pk])
    form = posted(clinic, starts="13:00", ends="15:00")
    first = client.post(address, form | {"again": "x"})
    page = first.content.decode()

    clinic.refresh_from_db()
    assert clinic.local_start.hour == 9, "nothing is saved yet"
    assert all(row.volunteer.name in page for row in rows) and page.count("will be asked again") >= 3
    assert "need to answer again" not in page and "for the space again" in page
    seen = first.context["effects"].fingerprint
    # Somebody was released in between: the page says so and still saves nothing.
    rows[0].released_at = rows[0].asked_at
    rows[0].save()
    second = client.post(address, form | {"seen": seen})
    assert "This has changed since you opened the page" in second.content.decode()
    third = client.post(address, form | {"seen": second.context["effects"].fingerprint})
    clinic.refresh_from_db()
    assert third.status_code == 302 and clinic.local_start.hour == 13


def test_a_change_that_nobody_would_notice_saves_at_once(staffed, coordinator, signed_in):
    clinic, _ = staffed
    done = signed_in(coordinator).post(reverse("clinic-change", args=[clinic.pk]), posted(clinic, theme="Circuits"))

    clinic.refresh_from_db()
    assert done.status_code == 302 and clinic.theme == "Circuits"


def test_cancelling_names_everybody_first(staffed, coordinator, signed_in, household, now):
    clinic, rows = staffed
    register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)
    page = signed_in(coordinator).get(reverse("clinic-cancel", args=[clinic.pk])).content.decode()

    assert all(row.volunteer.name in page for row in rows) and "1 family will be emailed" in page
    assert Clinic.objects.get(pk=clinic.pk).live
    seen = effects_of(lambda: cancel_clinic(clinic=clinic, because="-", now=now), [clinic])
    assert {one.what for one in seen.clinics[0].people} == {"called off"}


def test_cancelling_does_what_was_seen_and_nothing_else(staffed, coordinator, signed_in, make_shift, make_assignment):
    clinic, _ = staffed
    client, address = signed_in(coordinator), reverse("clinic-cancel", args=[clinic.pk])
    seen = client.get(address).context["effects"].fingerprint
    make_assignment(make_shift(clinic))
    said = client.post(address, {"because": "snow", "seen": seen})
    assert (
        "This has changed since you opened the page" in said.content.decode()
        and 'value="snow"' in said.content.decode()
    )
    assert Clinic.objects.get(pk=clinic.pk).live
    client.post(address, {"because": "snow", "seen": said.context["effects"].fingerprint})
    assert not Clinic.objects.get(pk=clinic.pk).live


def test_notes_that_somebody_else_writes_in_the_same_moment_are_in_no_preview(staffed, make_clinic, now):
    clinic, _ = staffed
    other = make_clinic(days=12)

    def act() -> object:
        return change_clinic(clinic=clinic, facts=move(clinic, theme="Circuits"), now=now)

    with supposing():
        cancel_clinic(clinic=other, because="-", now=now)
        assert effects_of(act, [clinic]).quiet
