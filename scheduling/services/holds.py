"""Holding a floor and a kit for a clinic; the database's refusal names who holds it instead."""

from datetime import datetime

from django.db import IntegrityError, transaction

from clinics.models import Clinic, Space, Status
from config.refusal import Refusal
from scheduling.models import KIT_AFTER, KIT_BEFORE, SET_UP, TAKE_DOWN, Answer, Booking, Kit, KitBooking
from scheduling.queries.conflicts import kit_conflict, kit_expired, space_conflict
from scheduling.queries.kit_state import kit_unfit
from scheduling.services.left_floors import keep_left_floor, leaves

__all__ = ["hold_kit", "hold_kit_if_free", "hold_space", "kit_of"]


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
        booking.asking = None
    booking.clinic, booking.space, booking.period, booking.asked_at = clinic, space, period, now
    booking.answer = answer
    booking.status = Status.CONFIRMED if answer == Answer.AGREED else Status.TENTATIVE
    if answer != Answer.AGREED:
        booking.answered_at, booking.answer_words = None, ""
        booking.suggested_start = booking.suggested_end = None
    if booking.pk:
        booking.link_counter += 1
    # One at a time for a floor: two at the exclusion constraint would each wait for the other. The order is the same
    # everywhere: clinic, floor, kit, person.
    Space.objects.select_for_update(no_key=True).get(pk=space.pk)
    try:
        with transaction.atomic():
            booking.save()
    except IntegrityError as problem:
        # Somebody saved between our look and our write: the constraint decided, so name who won.
        raise space_conflict(space, period, but_for=clinic) or Refusal.because(
            "space taken",
            f"{space.name} has just been taken for that time. Choose another time or space.",
            "space",
        ) from problem
    keep_left_floor(left=left, clinic=clinic, now=now)
    return booking


def hold_kit(clinic: Clinic, kit: Kit | None) -> None:
    KitBooking.objects.filter(clinic=clinic).exclude(kit=kit).update(status=Status.CANCELLED)
    if kit is None:
        return
    period = (clinic.starts_at - KIT_BEFORE, clinic.ends_at + KIT_AFTER)
    refusal = kit_expired(kit, clinic) or kit_unfit(kit, clinic) or kit_conflict(kit, period, but_for=clinic)
    if refusal is not None:
        raise refusal
    Kit.objects.select_for_update(no_key=True).get(pk=kit.pk)
    try:
        with transaction.atomic():
            KitBooking.objects.update_or_create(
                clinic=clinic, kit=kit, defaults={"period": period, "status": Status.CONFIRMED}
            )
    except IntegrityError as problem:
        raise kit_conflict(kit, period, but_for=clinic) or Refusal.because(
            "kit taken", f"{kit.name} has just been taken for that time. Choose another kit.", "kit"
        ) from problem


def hold_kit_if_free(clinic: Clinic, kit: Kit | None) -> None:
    """Hold it, or no kit at all when this one can't be had then."""
    try:
        with transaction.atomic():
            hold_kit(clinic, kit)
    except Refusal:
        hold_kit(clinic, None)


def kit_of(clinic: Clinic) -> Kit | None:
    held = KitBooking.objects.exclude(status=Status.CANCELLED).filter(clinic=clinic).select_related("kit").first()
    return held.kit if held else None
