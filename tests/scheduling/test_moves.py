"""Moving and shortening: who stays, who is asked again, who is told, and that the preview says just that."""

import uuid
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from clinics.models import Clinic
from config.refusal import Refusal
from people.models import Clearance
from scheduling.emails.build import build
from scheduling.models import Assignment, Booking, Note, NoteKind, Reply, Standby, Swap
from scheduling.rules.moves import Hours, needs_asking, within_hold
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic, change_rest
from scheduling.services.clinic_facts import ClinicFacts, facts_of
from scheduling.services.effects import effects_of
from scheduling.services.families.registering import register
from scheduling.services.series import book_series, rest_of
from scheduling.services.shifts import fit_shifts

pytestmark = pytest.mark.django_db
TOL = timedelta(minutes=15)


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
        person = make_volunteer(duties=(shift.duty,), cleared=("screening", "conduct", "first_aid"))
        rows.append(make_assignment(shift, person, reply=reply))
    return clinic, rows


def move(clinic: Clinic, **change: object) -> ClinicFacts:
    fresh = Clinic.objects.select_related("center").prefetch_related("bands").get(pk=clinic.pk)
    return replace(facts_of(fresh), **change)  # type: ignore[arg-type]


def test_ten_minutes_later_keeps_every_yes_and_tells_with_a_higher_sequence(staffed, coordinator, now):
    clinic, (first, second, silent) = staffed
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(9, 40), ends=time(11, 40)), by=coordinator, now=now)

    for row in (first, second):
        before = row.sequence
        row.refresh_from_db()
        assert row.reply == Reply.ACCEPTED and row.sequence == before + 1
    silent.refresh_from_db()
    assert silent.reply == Reply.NEEDS_ACTION and silent.notes.get(kind=NoteKind.SHIFT_CHANGED)
    note = Note.objects.get(kind=NoteKind.SHIFT_TOLD, assignment=first)
    mail = build(note, now)
    part = str(mail.alternatives[-1][0]).replace("\r\n ", "")
    assert "stays so" in mail.body and "9:40" in mail.body
    assert f"UID:{first.uid}" in part and f"SEQUENCE:{first.sequence}" in part and "METHOD:REQUEST" in part
    clinic.refresh_from_db()
    assert clinic.status == "tentative", "ten minutes past the hold: the center is asked"


def test_a_shortening_keeps_everything_and_gives_the_center_its_time_back(staffed, coordinator, now):
    clinic, (first, second, _) = staffed
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(10), ends=time(11)), by=coordinator, now=now)

    clinic.refresh_from_db()
    held = Booking.objects.live().get(clinic=clinic)
    assert clinic.status == "confirmed" and held.status == "confirmed" and held.answer == "agreed"
    assert held.period.upper - held.period.lower == timedelta(hours=2)
    assert not Note.objects.filter(kind=NoteKind.BOOKING_ASK, state="waiting").exists()
    letter = build(Note.objects.get(kind=NoteKind.BOOKING_SHORTER), now)
    assert "nothing to do" in letter.body
    assert Assignment.objects.accepted().filter(pk__in=[first.pk, second.pk]).count() == 2


def test_an_hour_later_asks_everybody_again_and_ends_stand_bys_and_swaps(staffed, coordinator, make_volunteer, now):
    clinic, (first, _, _) = staffed
    Standby.objects.create(clinic=clinic, duty="coach", volunteer=make_volunteer(), since=now)
    swap = Swap.objects.create(assignment=first, to=make_volunteer(), asked_at=now)
    change_clinic(clinic=clinic, facts=move(clinic, starts=time(10, 30), ends=time(12, 30)), by=coordinator, now=now)

    first.refresh_from_db()
    swap.refresh_from_db()
    assert first.reply == Reply.NEEDS_ACTION and not Standby.objects.exists()
    assert swap.state == Swap.State.REFUSED and "another time" in swap.words
    assert Note.objects.filter(kind=NoteKind.SHIFT_CHANGED).count() == 3


def test_who_can_not_be_there_any_more_is_released_with_the_reason(
    staffed, coordinator, make_clinic, make_shift, make_assignment, now
):
    clinic, (first, second, _) = staffed
    elsewhere = make_clinic(days=11)
    make_assignment(make_shift(elsewhere, first.shift.duty), first.volunteer)
    Clearance.objects.filter(volunteer=second.volunteer).update(expires_on=clinic.day)
    change_clinic(clinic=clinic, facts=move(clinic, day=clinic.day + timedelta(days=1)), by=coordinator, now=now)

    first.refresh_from_db()
    second.refresh_from_db()
    assert elsewhere.center.name in first.released_because
    assert second.released_because == "a clearance would not be in date on the new day"


@pytest.mark.parametrize(
    "change",
    [
        {"starts": time(9, 40), "ends": time(11, 40)},
        {"starts": time(10), "ends": time(11)},
        {"starts": time(13), "ends": time(15)},
        {"bands": [(7, 10, 40)]},
        {"bands": [(9, 10, 8)]},
        {"theme": "Paper bridges"},
        {},
    ],
)
def test_the_preview_says_what_then_happens_and_leaves_nothing(staffed, coordinator, household, now, change):
    clinic, _ = staffed
    for years in (7, 10):
        facts = household((f"Child {years}", date(clinic.day.year - years, 1, 1)))
        register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now)
    facts = move(clinic, **change)

    def act() -> object:
        return change_clinic(clinic=clinic, facts=facts, by=coordinator, now=now)

    tables = (Note, Assignment, Booking, Clinic)
    before = [list(model.objects.order_by("pk").values()) for model in tables]
    seen = effects_of(act, [clinic])
    assert [list(model.objects.order_by("pk").values()) for model in tables] == before
    assert effects_of(act, [clinic]).fingerprint == seen.fingerprint

    last = Note.objects.order_by("-pk").first()
    act()
    new = Note.objects.filter(pk__gt=last.pk if last else 0).order_by("pk")
    assert [to for to, _ in seen.notes] == [note.to_name for note in new]
    kinds = {"stays": NoteKind.SHIFT_TOLD, "asked again": NoteKind.SHIFT_CHANGED, "released": NoteKind.SHIFT_RELEASED}
    told = {(note.to_name, note.kind) for note in new if note.volunteer_id}
    assert {(one.name, kinds[one.what]) for one in seen.clinics[0].people} == told


def test_the_rest_of_a_row_moves_by_the_same_difference_all_or_none(make_clinic, make_space, coordinator, now):
    space = make_space()
    first = make_clinic(space, days=10)
    days = [first.day + timedelta(weeks=week) for week in range(1, 5)]
    made = book_series(clinic=first, days=days, by=coordinator, now=now)
    facts = move(first, day=first.day + timedelta(days=7), starts=time(10), ends=time(12))
    changed = change_rest(clinic=first, facts=facts, by=coordinator, now=now)

    # Each takes the day that the next one had, so the order of moving matters.
    assert [one.day for one in changed] == [*days, days[-1] + timedelta(days=7)]
    assert {one.local_start.time() for one in changed} == {time(10)}
    assert {one.pk for one in changed} == {first.pk, *(one.pk for one in made)}


def test_one_clash_keeps_the_whole_row_where_it_was_and_each_day_is_named(make_clinic, make_space, coordinator, now):
    space = make_space()
    first = make_clinic(space, days=10)
    days = [first.day + timedelta(weeks=week) for week in range(1, 4)]
    book_series(clinic=first, days=days, by=coordinator, now=now)
    make_clinic(space, days=18)
    make_clinic(space, days=25)
    before = list(Clinic.objects.order_by("pk").values_list("starts_at", flat=True))
    with pytest.raises(Refusal) as refused:
        change_rest(clinic=first, facts=move(first, day=first.day + timedelta(days=1)), by=coordinator, now=now)

    assert len(refused.value.reasons) == 2 and refused.value.codes == {"space taken"}
    assert list(Clinic.objects.order_by("pk").values_list("starts_at", flat=True)) == before


def test_a_date_moved_by_itself_stays_in_its_row(make_clinic, coordinator, now):
    first = make_clinic(days=10)
    (other,) = book_series(clinic=first, days=[first.day + timedelta(weeks=1)], by=coordinator, now=now)
    change_clinic(clinic=other, facts=move(other, starts=time(14), ends=time(16)), by=coordinator, now=now)
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
    assert all(row.volunteer.name in page for row in rows) and page.count("is asked again") >= 3
    assert "keeps" not in page and "asked for the floor again" in page
    seen = first.context["effects"].fingerprint
    # Somebody was released in between: the page says so and still saves nothing.
    rows[0].released_at = rows[0].asked_at
    rows[0].save()
    second = client.post(address, form | {"seen": seen})
    assert "Something has changed since you looked" in second.content.decode()
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

    assert all(row.volunteer.name in page for row in rows) and "1 household is told" in page
    assert Clinic.objects.get(pk=clinic.pk).live
    seen = effects_of(lambda: cancel_clinic(clinic=clinic, because="-", by=coordinator, now=now), [clinic])
    assert {one.what for one in seen.clinics[0].people} == {"called off"}
