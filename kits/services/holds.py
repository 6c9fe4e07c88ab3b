"""Holding a kit for a clinic; the database's refusal names who holds it instead."""

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core.refusal import Refusal
from kits.models import KIT_AFTER, KIT_BEFORE, Kit, KitBooking
from kits.queries.condition import kit_unfit
from kits.queries.conflicts import kit_conflict, kit_expired

__all__ = ["hold_kit", "hold_kit_if_free", "kit_of"]


def hold_kit(clinic: Clinic, kit: Kit | None) -> None:
    """Hold the kit for the clinic, in place of any other; None gives it back. Raises Refusal when it can't be had."""
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
        words = gettext("Another clinic just booked %(kit)s for that time. Choose another kit.") % {"kit": kit.name}
        raise kit_conflict(kit, period, but_for=clinic) or Refusal.because("kit taken", words, "kit") from problem


def hold_kit_if_free(clinic: Clinic, kit: Kit | None) -> None:
    """Hold the kit for the clinic, or no kit at all when this one can't be had then."""
    try:
        with transaction.atomic():
            hold_kit(clinic, kit)
    except Refusal:
        hold_kit(clinic, None)


def kit_of(clinic: Clinic) -> Kit | None:
    """The kit that is held for the clinic, or None."""
    held = KitBooking.objects.exclude(status=Status.CANCELLED).filter(clinic=clinic).select_related("kit").first()
    return held.kit if held else None
