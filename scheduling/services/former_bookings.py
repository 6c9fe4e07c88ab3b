"""Writes down that a clinic goes to another center, for the calendar of the one it left, and tells that one by mail."""

from datetime import datetime

from clinics.models import Clinic, Space
from core.formats import short_day
from outbox.models import Note, NoteState
from outbox.services.writing import drop_waiting, write_note
from scheduling.letters.bookings import BOOKING_ASK, BOOKING_SHORTER, HOLD_ENDING, SPACE_RELEASED
from scheduling.models import Booking, FormerBooking
from scheduling.queries.feeds import feed_sequence

__all__ = ["keep_former_booking", "leaves"]


def leaves(booking: Booking | None, space: Space) -> Booking | None:
    """The hold as the database has it, when holding ``space`` instead would take it to another center; else None."""
    if booking is None or booking.pk is None or booking.space.center_id == space.center_id:
        return None
    return Booking.objects.select_related("space__center", "booking_request").get(pk=booking.pk)


def keep_former_booking(*, left: Booking | None, clinic: Clinic, now: datetime) -> FormerBooking | None:
    """Keep where ``left`` was, and tell that center unless it was never asked. Does nothing without ``left``.

    Call it after the clinic and its hold are written, inside the move's transaction.
    """
    if left is None:
        return None
    row = FormerBooking.objects.create(
        clinic=clinic,
        space=left.space,
        starts_at=left.period.lower,
        ends_at=left.period.upper,
        sequence=feed_sequence(clinic),
        left_at=now,
    )
    drop_waiting(why="The clinic is moving to another center.", about=left, kinds=[HOLD_ENDING, BOOKING_ASK])
    if _heard_of(left):
        center = left.space.center
        contact = center.booking_contact
        write_note(
            key=f"{SPACE_RELEASED}:left {row.pk}",
            kind=SPACE_RELEASED,
            to_name=contact.name,
            to_email=contact.email,
            summary=f"Release {left.space.name}: {center}, {short_day(row.starts_at.astimezone(center.tz).date())}",
            due_at=now,
            about=[clinic, row],
            revision=clinic.revision,
        )
    return row


def _heard_of(left: Booking) -> bool:
    """Whether the center answered, or a letter that asks it has gone out; who never heard needs no taking back."""
    gone = Note.objects.filter(state__in=[NoteState.SENDING, NoteState.SENT])
    about = gone.about(left).filter(kind__in=[BOOKING_ASK, BOOKING_SHORTER])
    many = gone.about(left.booking_request) if left.booking_request is not None else gone.none()
    return bool(left.answer) or about.exists() or many.exists()
