"""Booking a clinic with a center, its answer, and changes of mind."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from clinics.models import CenterContact, Clinic, Status
from clinics.services.hours import set_hours
from core import clock
from core.formats import long_day
from core.refusal import Refusal
from kits.models import Kit, KitBooking
from outbox.letters import Stale, build
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from scheduling.letters.bookings import (
    BOOKING_ASK,
    BOOKING_CALLED_OFF,
    BOOKING_SHORTER,
    BOOKING_TAKEN,
)
from scheduling.models import Answer, Booking
from scheduling.services.bookings import (
    ClinicFacts,
    answer_booking,
    ask_center_again,
    book_clinic,
    take_suggestion,
)
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of
from scheduling.services.effects import effects_of
from shifts.letters.shifts import CLINIC_CANCELLED, SHIFT_ASK, SHIFT_CHANGED, SHIFT_RELEASED
from shifts.models import Assignment, Reply
from shifts.services.cover import ask_volunteer, record_reply, release_volunteer


@pytest.fixture
def facts(make_space):
    space = make_space(name="Main floor")

    def inner(**more: Any) -> ClinicFacts:
        known: dict[str, Any] = {
            "center": space.center,
            "space": space,
            "day": clock.today(space.center.tz) + timedelta(days=14),
            "starts": time(9, 30),
            "ends": time(11, 30),
            "bands": [(7, 10, 20)],
        }
        return ClinicFacts(**(known | more))

    return inner


@pytest.fixture
def book(facts, now):
    def inner(**more: Any) -> Clinic:
        return book_clinic(facts=facts(**more), now=now)

    return inner


def test_booking_holds_the_space_asks_for_shifts_and_asks_the_center(book):
    clinic = book(theme="Paper bridges")

    booking = Booking.objects.get()
    assert (clinic.status, booking.status) == (Status.TENTATIVE, Status.TENTATIVE)
    assert booking.period.lower == clinic.starts_at - timedelta(minutes=30)
    # ACA day camp, 1:8 at 6 to 8 years: 20 children with a youngest of 7 need 3 adults, one of them the lead.
    assert [s.duty_id for s in clinic.shifts.all()] == [
        "lead",
        "coach",
        "coach",
        "first_aider",
        "door",
        "stem_lead",
    ]
    assert Note.objects.get().kind == BOOKING_ASK


def test_a_taken_space_is_refused_with_the_other_clinic_and_what_is_free(book):
    first = book()

    with pytest.raises(Refusal) as refusal:
        book(starts=time(10), ends=time(12))

    text = str(refusal.value)
    assert refusal.value.codes == {"space taken"}
    assert first.center.name in text and "09:30 to 11:30" in text and "within these hours" in text and "12:30" in text
    assert Clinic.objects.count() == 1


def test_no_hour_is_offered_at_which_the_center_is_closed(book):
    first = book()
    set_hours(center=first.center, hours={first.day.weekday(): (time(9), time(16))})

    with pytest.raises(Refusal, match=r"within these hours: 12:30 to 15:30\.$"):
        book(starts=time(10), ends=time(12))


def test_two_clinics_whose_holds_only_touch_are_both_fine(book):
    book(starts=time(9, 30), ends=time(11, 30))

    book(starts=time(12, 30), ends=time(14))

    assert Booking.objects.live().count() == 2


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"ends": time(9)}, "ends before start"),
        ({"ends": time(9, 30)}, "ends before start"),
        ({"starts": time(8), "ends": time(18)}, "too long"),
        ({"day": date(2020, 1, 4)}, "in the past"),
        ({"day": date(2099, 1, 3)}, "too far off"),
        ({"bands": [(7, 10, 200)]}, "too many for the space"),
        ({"bands": [(2, 3, 6)]}, "age outside table"),
        ({"bands": [(7, 10, 8), (9, 12, 8)]}, "bands overlap"),
        ({"ratio_table": "made up"}, "no such table"),
    ],
)
def test_what_cannot_be_a_clinic_is_refused_and_nothing_is_written(book, change, code):
    with pytest.raises(Refusal) as refusal:
        book(**change)

    assert code in refusal.value.codes
    assert not Clinic.objects.exists() and not Note.objects.exists()


def test_a_space_of_another_center_is_refused(book, make_space):
    with pytest.raises(Refusal, match="Choose a space at") as refusal:
        book(space=make_space())

    assert refusal.value.codes == {"space elsewhere"}


def test_a_time_that_the_clocks_skip_is_refused_with_what_to_choose(facts):
    spring = date(2027, 3, 14)  # America/New_York goes from 02:00 to 03:00

    night = facts(day=spring, starts=time(2, 30), ends=time(4))

    with pytest.raises(Refusal, match=r"02:30 doesn’t exist .* Choose 03:00") as refusal:
        book_clinic(facts=night, now=datetime(2027, 1, 4, 12, tzinfo=UTC))

    assert refusal.value.codes == {"no such time"}


def test_an_autumn_night_counts_the_hour_that_comes_twice(facts):
    # The clocks go back at 02:00 on 7 November 2027: 01:30 comes twice, the first is meant.
    night = facts(day=date(2027, 11, 7), starts=time(1, 30), ends=time(2, 30))
    clinic = book_clinic(facts=night, now=datetime(2027, 10, 1, 12, tzinfo=UTC))

    assert clinic.ends_at - clinic.starts_at == timedelta(hours=2)


def test_a_kit_is_in_one_place_at_a_time(book, make_space, facts, now):
    bag = Kit.objects.create(name="Bag 1")
    book(kit=bag)
    other = make_space()

    with pytest.raises(Refusal, match="Bag 1 is already booked for") as refusal:
        book_clinic(facts=facts(center=other.center, space=other, kit=bag), now=now)

    assert refusal.value.codes == {"kit taken"}


def test_agreed_confirms_hold_and_clinic(book, now):
    clinic = book()

    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=now)

    clinic.refresh_from_db()
    assert (clinic.status, Booking.objects.get().status) == (Status.CONFIRMED, Status.CONFIRMED)


def test_the_same_answer_twice_changes_nothing_and_another_is_refused(book, now):
    book()
    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=now)
    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=now + timedelta(hours=1))
    assert Booking.objects.get().answered_at == now

    with pytest.raises(Refusal) as refusal:
        answer_booking(booking=Booking.objects.get(), answer=Answer.NOT_POSSIBLE, now=now)

    assert refusal.value.codes == {"already answered"}


def test_not_possible_gives_the_space_back_at_once(book, now):
    book()

    answer_booking(booking=Booking.objects.get(), answer=Answer.NOT_POSSIBLE, now=now, words="Floor being varnished")

    assert not Booking.objects.live().exists()
    book()


def test_another_time_must_name_a_time_that_is_free_and_to_come(book, now):
    clinic = book()
    day = clinic.day
    for suggested, code in (
        (None, "no time named"),
        ((day, time(14), time(13)), "ends before start"),
        ((date(2020, 1, 4), time(14), time(16)), "in the past"),
    ):
        with pytest.raises(Refusal) as refusal:
            answer_booking(booking=Booking.objects.get(), answer=Answer.ANOTHER_TIME, suggested=suggested, now=now)
        assert refusal.value.codes == {code}


def test_taking_the_suggestion_moves_the_clinic_and_its_people(book, make_volunteer, now):
    clinic = book()
    imara = make_volunteer("Imara Venn")
    row = ask_volunteer(shift=clinic.shifts.filter(duty__code="coach").first(), volunteer=imara, now=now)
    record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=now)
    answer_booking(
        booking=Booking.objects.get(),
        answer=Answer.ANOTHER_TIME,
        suggested=(clinic.day, time(14), time(16)),
        now=now,
    )

    take_suggestion(booking=Booking.objects.get(), now=now)

    clinic.refresh_from_db()
    row.refresh_from_db()
    assert clinic.local_start.hour == 14 and clinic.status == Status.CONFIRMED and clinic.revision == 1
    assert row.reply == Reply.NEEDS_ACTION and row.period.lower == clinic.starts_at - timedelta(minutes=30)
    changed = Note.objects.get(kind=SHIFT_CHANGED)
    assert changed.facts["sequence"] == 1
    assert Note.objects.get(kind=SHIFT_ASK).state == NoteState.DROPPED


def test_the_center_is_told_that_the_time_it_named_is_taken(book, now):
    """Its page says: we look at it and write to you."""
    clinic = book()
    CenterContact.objects.create(center=clinic.center, name="Ida Quill", email="ida@example.org", answers_bookings=True)
    named = (clinic.day, time(14), time(16))
    answer_booking(booking=Booking.objects.get(), answer=Answer.ANOTHER_TIME, suggested=named, now=now)
    seen = effects_of(lambda: take_suggestion(booking=Booking.objects.get(), now=now), [clinic])
    assert seen.clinics[0].center == "We’ll tell Ida Quill we accept their suggested time."

    take_suggestion(booking=Booking.objects.get(), now=now)

    note = Note.objects.get(kind=BOOKING_TAKEN)
    mail = build(note, now)
    assert mail.to == ["Ida Quill <ida@example.org>"] and "Hello Ida Quill" in mail.body
    assert "14:00 to 16:00" in mail.body and "13:30 to 16:30" in mail.body and long_day(clinic.day) in mail.body
    assert "STATUS:CONFIRMED" in str(mail.alternatives[-1][0])
    # Moved once more before it went out: no longer true, and the center is asked.
    clinic.refresh_from_db()
    facts = replace(facts_of(clinic), starts=time(17), ends=time(19))
    change_clinic(clinic=clinic, facts=facts, now=now)
    with pytest.raises(Stale):
        build(Note.objects.get(pk=note.pk), now)


def test_the_same_other_time_twice_changes_nothing_and_a_third_one_is_refused(book, now):
    clinic = book()
    named = (clinic.day, time(14), time(16))
    for _ in range(2):
        answer_booking(booking=Booking.objects.get(), answer=Answer.ANOTHER_TIME, suggested=named, now=now)
    with pytest.raises(Refusal, match="already have your answer"):
        third = (clinic.day, time(15), time(17))
        answer_booking(booking=Booking.objects.get(), answer=Answer.ANOTHER_TIME, suggested=third, now=now)

    kept = Booking.objects.get().suggested_start
    assert kept is not None and kept.astimezone(clinic.center.tz).hour == 14


def test_who_is_told_of_a_shortening_is_greeted_by_name(make_clinic, now):
    clinic = make_clinic()
    CenterContact.objects.create(center=clinic.center, name="Ida Quill", email="ida@example.org", answers_bookings=True)
    facts = replace(facts_of(clinic), starts=time(10), ends=time(11))
    change_clinic(clinic=clinic, facts=facts, now=now)

    mail = build(Note.objects.get(kind=BOOKING_SHORTER), now)

    assert "Ida Quill" in mail.body and clinic.center.contact_name not in mail.body


def test_a_move_releases_whoever_is_elsewhere_at_the_new_time(
    book, facts, make_volunteer, make_assignment, make_shift, make_clinic, now
):
    clinic = book()
    imara = make_volunteer("Imara Venn")
    row = ask_volunteer(shift=clinic.shifts.filter(duty__code="coach").first(), volunteer=imara, now=now)
    make_assignment(make_shift(make_clinic(days=14, starts=time(14), ends=time(16))), imara)

    change_clinic(clinic=clinic, facts=facts(starts=time(14), ends=time(16)), now=now)

    row.refresh_from_db()
    assert not row.live
    assert Note.objects.about(row).filter(kind=SHIFT_RELEASED).exists()


def test_changing_only_the_theme_keeps_both_answers(book, facts, make_volunteer, now):
    clinic = book()
    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=now)

    change_clinic(clinic=clinic, facts=facts(theme="Paper bridges"), now=now)

    clinic.refresh_from_db()
    assert clinic.status == Status.CONFIRMED and clinic.revision == 0
    assert clinic.shifts.filter(duty__code="stem_lead").count() == 1


def test_fewer_children_never_remove_somebody_who_was_asked(book, facts, make_volunteer, now):
    clinic = book(bands=[(7, 10, 30)])
    coaches = list(clinic.shifts.filter(duty__code="coach"))
    ask_volunteer(shift=coaches[-1], volunteer=make_volunteer(), now=now)

    change_clinic(clinic=clinic, facts=facts(bands=[(7, 10, 8)]), now=now)

    assert Assignment.objects.live().count() == 1
    assert clinic.shifts.filter(duty__code="coach").count() == 1


def test_asking_the_center_again_sends_a_new_link_and_ends_the_old(book, now):
    book()

    ask_center_again(booking=Booking.objects.get(), now=now + timedelta(days=3))

    assert Booking.objects.get().link_counter == 1
    assert Note.objects.filter(kind=BOOKING_ASK).count() == 2


def test_cancelling_frees_everything_and_tells_everybody_once(book, make_volunteer, now):
    clinic = book(kit=Kit.objects.create(name="Bag 1"))
    row = ask_volunteer(shift=clinic.shifts.filter(duty__code="coach").first(), volunteer=make_volunteer(), now=now)

    cancel_clinic(clinic=clinic, because="The heating failed", now=now)
    cancel_clinic(clinic=clinic, because="The heating failed", now=now)

    assert not Booking.objects.live().exists()
    assert not KitBooking.objects.exclude(status=Status.CANCELLED).exists()
    assert not Assignment.objects.live().exists()
    row.refresh_from_db()
    assert Note.objects.get(kind=CLINIC_CANCELLED).facts["sequence"] == row.sequence == 1
    assert Note.objects.filter(kind=BOOKING_CALLED_OFF).count() == 1
    assert Note.objects.get(kind=SHIFT_ASK).state == NoteState.DROPPED


def test_another_space_at_the_same_hour_asks_the_center_and_leaves_the_question_to_people(
    book, facts, make_space, make_volunteer, mailoutbox, now
):
    clinic = book()
    imara = make_volunteer("Imara Venn", email="imara@example.org")
    ask_volunteer(shift=clinic.shifts.filter(duty__code="coach").first(), volunteer=imara, now=now)
    other = make_space(clinic.center, name="Small floor")

    change_clinic(clinic=clinic, facts=facts(space=other), now=now)
    send_due()

    to_center = [mail for mail in mailoutbox if "floor" in mail.subject.lower()]
    assert [mail.subject.split(" on ")[0] for mail in to_center] == ["Can we use Small floor"]
    assert any("Can you coach" in mail.subject for mail in mailoutbox)


def test_who_was_taken_off_before_the_clinic_was_cancelled_still_hears_of_it(book, make_volunteer, mailoutbox, now):
    clinic = book()
    row = ask_volunteer(
        shift=clinic.shifts.filter(duty__code="coach").first(),
        volunteer=make_volunteer("Imara Venn", email="imara@example.org"),
        now=now,
    )
    release_volunteer(assignment=row, because="somebody nearer can come", now=now)

    cancel_clinic(clinic=clinic, because="The heating failed", now=now)
    send_due()

    (mail,) = [mail for mail in mailoutbox if "imara" in mail.to[0]]
    assert "You’re off the schedule" in mail.subject
    assert "text/calendar; method=CANCEL" in [kind for _, kind in mail.alternatives]
