"""Gives back spaces that were asked for and never answered, after a note to the center."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from outbox.services.writing import drop_waiting
from scheduling.letters.bookings import BOOKING_CALLED_OFF, HOLD_ENDING
from scheduling.models import Booking
from scheduling.queries.hold_ends import WARN_DAYS, hold_ends, told_of_end
from scheduling.services.notes_to_centers import note_to_center

__all__ = ["WARN_DAYS", "end_old_holds"]


def end_old_holds(*, now: datetime) -> int:
    """Give back spaces unanswered for HOLD_DAYS, and write to centers with three days left; returns how many ended.

    No hold ends without that note: when nothing ran on the day it was due, the three days begin when it is written.
    One transaction per booking; running it twice is harmless. The clinic stays, tentative and without a space.
    """
    waiting = Booking.objects.live().filter(status=Status.TENTATIVE, answer="", clinic__starts_at__gt=now)
    ending = waiting.filter(asked_at__lte=now - timedelta(days=settings.HOLD_DAYS - WARN_DAYS))
    return sum(_look(pk, now) for pk in ending.order_by("pk").values_list("pk", flat=True))


@transaction.atomic
def _look(pk: int, now: datetime) -> int:
    clinic_id = Booking.objects.values_list("clinic_id", flat=True).get(pk=pk)
    # The clinic's row first, as everywhere, so that an answer of this moment and its end can't hold each other up.
    clinic = Clinic.objects.locked(clinic_id)
    Booking.objects.select_for_update(no_key=True).get(pk=pk)
    row = Booking.objects.select_related("space").get(pk=pk)
    row.clinic = clinic
    if row.answer or row.status != Status.TENTATIVE or not clinic.live:
        return 0
    if hold_ends(row, told_of_end(row) or now) > now:
        note_to_center(
            kind=HOLD_ENDING, booking=row, summary=f"Reservation expires soon: {clinic_words(clinic)}", now=now
        )
        return 0
    row.status = Status.CANCELLED
    row.link_counter += 1
    row.save()
    drop_waiting(why="The reservation expired.", about=row)
    note_to_center(
        kind=BOOKING_CALLED_OFF, booking=row, summary=f"Reservation expired: {clinic_words(clinic)}", now=now
    )
    return 1
