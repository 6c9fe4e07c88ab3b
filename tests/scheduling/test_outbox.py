"""Writing notes: once for each key, to whom and about what, and the sender woken once for a transaction."""

from datetime import timedelta

import pytest

from people.models import Guardian
from scheduling.models import Asking, Booking, Note, NoteKind, NoteState
from scheduling.services.outbox import (
    drop_waiting,
    note_about_clinic,
    note_of_asking,
    note_to_account,
    note_to_center,
    note_to_guardian,
    note_to_volunteer,
    noting,
    wake_sender,
    write_note,
)

pytestmark = pytest.mark.django_db


def written(note: Note | None) -> Note:
    assert note is not None
    return note


@pytest.fixture
def write(admin, now):
    def inner(key="k", **more):
        return write_note(
            key=key,
            kind=NoteKind.PASSWORD_RESET,
            to_name=admin.name,
            to_email=admin.email,
            summary="s",
            due_at=now,
            account=admin,
            **more,
        )

    return inner


def test_a_note_of_one_key_is_written_once_and_the_second_time_says_nothing(write):
    first = write()

    assert first == Note.objects.get() and first.state == NoteState.WAITING
    assert write() is None and write("other") is not None
    assert Note.objects.count() == 2 and len(set(Note.objects.values_list("message_id", flat=True))) == 2


def test_the_sender_is_woken_once_for_a_transaction_and_not_when_nothing_was_written(
    write, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as called:
        write("a")
        write("b")
        write("a")
    assert called == [wake_sender]

    with django_capture_on_commit_callbacks() as called:
        write("a")
    assert called == []


def test_who_listens_hears_what_is_written_meanwhile_and_nothing_else(write):
    write("before")
    with noting() as outer:
        first = write("first")
        with noting() as inner:
            second = write("second")
            write("first")
        third = write("third")
    write("after")

    assert outer == [first, third] and inner == [second]


def test_what_waits_is_dropped_with_its_reason_and_what_went_out_is_left(write, admin, now):
    for key, state in (("waits", "waiting"), ("stuck", "stuck"), ("other", "waiting")):
        write(key)
        Note.objects.filter(key=key).update(state=state)
    write("sent")
    Note.objects.filter(key="sent").update(state=NoteState.SENT, sent_at=now)

    assert drop_waiting(why="No longer true.", account=admin, key__in=["waits", "stuck", "sent"]) == 1

    fates = dict(Note.objects.values_list("key", "state"))
    assert fates == {"waits": "dropped", "stuck": "stuck", "other": "waiting", "sent": "sent"}
    assert Note.objects.get(key="waits").last_answer == "No longer true."


def test_a_note_to_a_center_goes_to_its_contact_for_bookings_and_names_the_clinics_revision(make_clinic, now):
    clinic = make_clinic()
    clinic.revision = 3
    clinic.save()
    booking = Booking.objects.get(clinic=clinic)

    note = written(note_to_center(kind=NoteKind.BOOKING_ASK, booking=booking, summary="Ask", now=now))

    contact = clinic.center.booking_contact
    assert (note.to_name, note.to_email, note.due_at, note.summary) == (contact.name, contact.email, now, "Ask")
    assert (note.clinic, note.revision, note.booking, note.kind) == (clinic, 3, booking, NoteKind.BOOKING_ASK)
    assert note_to_center(kind=NoteKind.BOOKING_ASK, booking=booking, summary="Ask", now=now) is None
    booking.link_counter += 1
    assert note_to_center(kind=NoteKind.BOOKING_ASK, booking=booking, summary="Ask", now=now) is not None


def test_one_letter_for_all_days_of_an_asking(make_center, now, coordinator):
    asking = Asking.objects.create(center=make_center(), asked_at=now)

    note = written(note_of_asking(asking=asking, summary="Ask", now=now))

    contact = asking.center.booking_contact
    assert (note.to_name, note.to_email, note.due_at, note.asking) == (contact.name, contact.email, now, asking)
    assert note.clinic is None and note.kind == NoteKind.BOOKING_ASK_MANY
    assert note_of_asking(asking=asking, summary="Ask", now=now) is None


def test_a_note_to_a_volunteer_is_one_for_each_state_of_the_shift(make_assignment, now):
    row = make_assignment()
    clinic = row.shift.clinic

    def told(**more):
        return note_to_volunteer(
            kind=NoteKind.SHIFT_TOLD, assignment=row, clinic=clinic, summary="Told", now=now, **more
        )

    note = told(sequence=4)
    assert (note.to_name, note.to_email, note.volunteer) == (row.volunteer.name, row.volunteer.email, row.volunteer)
    assert (note.assignment, note.clinic, note.revision, note.sequence) == (row, clinic, clinic.revision, 4)
    assert note.due_at == now and told() is None
    row.sequence += 1
    assert told().sequence is None
    clinic.revision += 1
    assert told().revision == clinic.revision


def test_a_guardian_without_an_address_is_not_written_to(make_clinic, now):
    clinic = make_clinic()
    marla = Guardian.objects.create(name="Marla", email="marla@example.org", registered_at=now)
    quiet = Guardian.objects.create(name="Quill", email="", phone="555-0140", registered_at=now)

    def tell(guardian, clinic=None, what="place 7"):
        return note_to_guardian(
            kind=NoteKind.PLACES, what=what, guardian=guardian, summary="Places", now=now, clinic=clinic
        )

    note = tell(marla, clinic)
    assert (note.to_name, note.to_email, note.guardian) == ("Marla", "marla@example.org", marla)
    assert (note.clinic, note.revision, note.due_at) == (clinic, clinic.revision, now)
    assert tell(marla, clinic) is None and tell(marla, clinic, "place 8") is not None
    plain = tell(marla)
    assert (plain.clinic, plain.revision) == (None, None) and ":r" not in plain.key
    clinic.revision += 1
    assert tell(marla, clinic).revision == clinic.revision
    assert tell(quiet, clinic) is None and not Note.objects.filter(guardian=quiet).exists()


def test_a_note_about_a_clinic_is_one_for_each_row_it_speaks_of(make_clinic, make_volunteer, now):
    clinic, person = make_clinic(), make_volunteer()

    def tell(what, summary="Call"):
        return note_about_clinic(
            kind=NoteKind.STANDBY_CALL, what=what, volunteer=person, clinic=clinic, summary=summary, now=now, rung="1"
        )

    note = tell("call 7", "s" * 201)
    assert (note.volunteer, note.clinic, note.revision, note.rung) == (person, clinic, clinic.revision, "1")
    assert (note.to_email, note.due_at, note.summary) == (person.email, now, "s" * 200)
    assert tell("call 7") is None and tell("call 8") is not None


def test_a_note_to_an_account_goes_to_it_when_it_is_due(admin, now):
    due = now + timedelta(hours=1)
    note = written(note_to_account(kind=NoteKind.PASSWORD_RESET, account=admin, summary="Reset", key="reset", now=due))

    assert (note.to_name, note.to_email, note.account, note.due_at) == (admin.name, admin.email, admin, due)
    assert note_to_account(kind=NoteKind.PASSWORD_RESET, account=admin, summary="Reset", key="reset", now=due) is None
