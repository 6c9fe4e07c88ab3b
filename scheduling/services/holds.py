"""Holds a space for a clinic; when the database refuses, the refusal names who holds it instead."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from clinics.models import Clinic, Space, Status
from core.refusal import Refusal
from scheduling.models import SET_UP, TAKE_DOWN, Answer, Booking
from scheduling.queries.conflicts import space_conflict
from scheduling.services.former_bookings import keep_former_booking, leaves

__all__ = ["hold_space", "space_of"]


def hold_space(
    clinic: Clinic, space: Space, now: datetime, booking: Booking | None = None, answer: str = Answer.NONE
) -> Booking:
    period = (clinic.starts_at - SET_UP, clinic.ends_at + TAKE_DOWN)
    refusal = space_conflict(space, period, but_for=clinic)
    if refusal is not None:
        raise refusal
    left = leaves(booking, space)
    booking = booking or Booking(clinic=clinic)
    if left is not None:
        # The page that asked the other center for several days must not answer for this one.
        booking.booking_request = None
    booking.clinic, booking.space, booking.period, booking.asked_at = clinic, space, period, now
    booking.answer = answer
    booking.status = Status.CONFIRMED if answer == Answer.AGREED else Status.TENTATIVE
    if answer != Answer.AGREED:
        booking.answered_at, booking.answer_words = None, ""
        booking.suggested_start = booking.suggested_end = None
    if booking.pk:
        booking.link_counter += 1
    # One at a time for a space: two at the exclusion constraint would each wait for the other. The order is the same
    # everywhere: clinic, space, kit, person.
    Space.objects.select_for_update(no_key=True).get(pk=space.pk)
    try:
        with transaction.atomic():
            booking.save()
    except IntegrityError as problem:
        # Somebody saved between our look and our write: the constraint decided, so name who won.
        raise space_conflict(space, period, but_for=clinic) or Refusal.because(
            "space taken",
            gettext("%(space)s was just booked for that time. Choose another time or space.") % {"space": space.name},
            "space",
        ) from problem
    keep_former_booking(left=left, clinic=clinic, now=now)
    return booking


def space_of(clinic: Clinic) -> Space | None:
    """The space that is held for a clinic. Answers ``clinics.hooks.space_of``."""
    held = Booking.objects.live().filter(clinic=clinic).select_related("space").first()
    return held.space if held else None
