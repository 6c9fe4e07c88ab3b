"""How long a space is held while its center does not answer."""

from datetime import datetime, timedelta

from django.conf import settings

from outbox.models import Note
from scheduling.models import Booking

__all__ = ["HOLD_ENDING", "WARN_DAYS", "hold_ends", "told_of_end"]

# The code of the letter that says so (scheduling/letters/bookings.py).
HOLD_ENDING = "hold-ending"

WARN_DAYS = 3


def told_of_end(booking: Booking) -> datetime | None:
    """When the note was written that this question's hold ends; None before it is."""
    rows = Note.objects.about(booking).filter(kind=HOLD_ENDING, written_at__gte=booking.asked_at)
    return rows.order_by("written_at").values_list("written_at", flat=True).first()


def hold_ends(booking: Booking, told_at: datetime) -> datetime:
    """The moment when a hold ends: HOLD_DAYS after the question, and at least WARN_DAYS after ``told_at``.

    ``told_at`` is when the center was told that the hold ends.
    """
    return max(booking.asked_at + timedelta(days=settings.HOLD_DAYS), told_at + timedelta(days=WARN_DAYS))
