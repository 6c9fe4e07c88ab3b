"""Notes to centers, volunteers, guardians and accounts: to whom, about what, and once for each state of it."""

from datetime import timedelta

import pytest

from core.references import reference, references
from families.letters.families import SPOTS
from families.models import Guardian
from families.services.notes_to_guardians import note_to_guardian
from outbox.models import Note
from people.letters.accounts import PASSWORD_RESET
from people.services.accounts import note_to_account
from scheduling.letters.bookings import BOOKING_ASK, BOOKING_ASK_MANY
from scheduling.models import Booking, BookingRequest
from scheduling.services.notes_to_centers import note_of_request, note_to_center
from shifts.letters.backup_swaps import BACKUP_CALL
from shifts.letters.shifts import SHIFT_TOLD
from shifts.services.notes_to_volunteers import note_about_clinic, note_to_volunteer

pytestmark = pytest.mark.django_db


def written(note: Note | None) -> Note:
    assert note is not None
    return note


def test_a_note_to_a_center_goes_to_its_contact_for_bookings_and_names_the_clinics_revision(make_clinic, now):
    clinic = make_clinic()
    clinic.revision = 3
    clinic.save()
    booking = Booking.objects.get(clinic=clinic)

    note = written(note_to_center(kind=BOOKING_ASK, booking=booking, summary="Ask", now=now))

    contact = clinic.center.booking_contact
    assert (note.to_name, note.to_email, note.due_at, note.summary) == (contact.name, contact.email, now, "Ask")
    assert (note.about, note.facts) == (references([clinic, booking]), {"revision": 3})
    assert note.kind == BOOKING_ASK
    assert note_to_center(kind=BOOKING_ASK, booking=booking, summary="Ask", now=now) is None
    booking.link_counter += 1
    assert note_to_center(kind=BOOKING_ASK, booking=booking, summary="Ask", now=now) is not None


def test_one_letter_for_all_days_of_an_asking(make_center, now, coordinator):
    booking_request = BookingRequest.objects.create(center=make_center(), asked_at=now)

    note = written(note_of_request(booking_request=booking_request, summary="Ask", now=now))

    contact = booking_request.center.booking_contact
    assert (note.to_name, note.to_email, note.due_at) == (contact.name, contact.email, now)
    assert note.about == [reference(booking_request)] and note.kind == BOOKING_ASK_MANY
    assert note_of_request(booking_request=booking_request, summary="Ask", now=now) is None


def test_a_note_to_a_volunteer_is_one_for_each_state_of_the_shift(make_assignment, now):
    row = make_assignment()
    clinic = row.shift.clinic

    def told(**more):
        return note_to_volunteer(kind=SHIFT_TOLD, assignment=row, clinic=clinic, summary="Told", now=now, **more)

    note = told(sequence=4)
    assert (note.to_name, note.to_email) == (row.volunteer.name, row.volunteer.email)
    assert note.about == references([clinic, row, row.volunteer])
    assert note.facts == {"revision": clinic.revision, "sequence": 4}
    assert note.due_at == now and told() is None
    row.sequence += 1
    assert "sequence" not in told().facts
    clinic.revision += 1
    assert told().facts["revision"] == clinic.revision


def test_a_guardian_without_an_address_is_not_written_to(make_clinic, now):
    clinic = make_clinic()
    marla = Guardian.objects.create(name="Marla", email="marla@example.org", language="es", registered_at=now)
    quiet = Guardian.objects.create(name="Quill", email="", phone="555-0140", registered_at=now)

    def tell(guardian, clinic=None, what="spot 7"):
        return note_to_guardian(kind=SPOTS, what=what, guardian=guardian, summary="Places", now=now, clinic=clinic)

    note = tell(marla, clinic)
    assert (note.to_name, note.to_email, note.language) == ("Marla", "marla@example.org", "es")
    assert (note.about, note.facts) == (references([marla, clinic]), {"revision": clinic.revision})
    assert note.due_at == now
    assert tell(marla, clinic) is None and tell(marla, clinic, "spot 8") is not None
    plain = tell(marla)
    assert (plain.about, plain.facts) == ([reference(marla)], {}) and ":r" not in plain.key
    clinic.revision += 1
    assert tell(marla, clinic).facts["revision"] == clinic.revision
    assert tell(quiet, clinic) is None and not Note.objects.about(quiet).exists()


def test_a_note_about_a_clinic_is_one_for_each_row_it_speaks_of(make_clinic, make_shift, make_volunteer, now):
    clinic, person = make_clinic(), make_volunteer()
    shift = make_shift(clinic=clinic)

    def tell(what, summary="Call"):
        return note_about_clinic(
            kind=BACKUP_CALL, what=what, volunteer=person, clinic=clinic, summary=summary, now=now, about=[shift]
        )

    note = tell("call 7", "s" * 201)
    assert (note.about, note.facts) == (references([clinic, person, shift]), {"revision": clinic.revision})
    assert (note.to_email, note.due_at, note.summary) == (person.email, now, "s" * 200)
    assert tell("call 7") is None and tell("call 8") is not None


def test_a_note_to_an_account_goes_to_it_when_it_is_due(admin, now):
    due = now + timedelta(hours=1)
    note = written(note_to_account(kind=PASSWORD_RESET, account=admin, summary="Reset", key="reset", now=due))

    assert (note.to_name, note.to_email, note.due_at) == (admin.name, admin.email, due)
    assert note.about == [reference(admin)]
    assert note_to_account(kind=PASSWORD_RESET, account=admin, summary="Reset", key="reset", now=due) is None
