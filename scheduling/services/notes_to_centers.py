"""Notes to a center's contact about bookings."""

from datetime import datetime

from outbox.models import Note
from outbox.services.writing import write_note
from scheduling.letters.bookings import BOOKING_ASK_MANY
from scheduling.models import Booking, BookingRequest

__all__ = ["note_of_request", "note_to_center"]


def note_to_center(*, kind: str, booking: Booking, summary: str, now: datetime) -> Note | None:
    clinic = booking.clinic
    contact = clinic.center.booking_contact
    return write_note(
        key=f"{kind}:booking {booking.pk}:link {booking.link_counter}:r{clinic.revision}",
        kind=kind,
        to_name=contact.name,
        to_email=contact.email,
        summary=summary,
        due_at=now,
        about=[clinic, booking],
        revision=clinic.revision,
    )


def note_of_request(*, booking_request: BookingRequest, summary: str, now: datetime) -> Note | None:
    """Write one letter to a center for all days of a request. It is about no single day, so it outlives each."""
    contact = booking_request.center.booking_contact
    return write_note(
        key=f"{BOOKING_ASK_MANY}:asking {booking_request.pk}:link {booking_request.link_counter}",
        kind=BOOKING_ASK_MANY,
        to_name=contact.name,
        to_email=contact.email,
        summary=summary,
        due_at=now,
        about=[booking_request],
    )
