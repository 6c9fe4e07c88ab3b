"""Why a kit can't be packed for a clinic, in words: somebody else has it, or something in it is past its last day."""

from datetime import datetime

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from core.formats import long_day, span
from core.refusal import Refusal
from kits.models import Kit, KitBooking, KitItem

__all__ = ["kit_conflict", "kit_expired"]


def kit_expired(kit: Kit, clinic: Clinic) -> Refusal | None:
    """A Refusal that names what in the kit is past its last day when the clinic comes; None when nothing is."""
    rows = KitItem.objects.filter(kit=kit, last_day__lt=clinic.day).prefetch_related("losses")
    old = [item for item in rows if item.held().past(clinic.day)]
    if not old:
        return None
    what = " and ".join(f"{item.name} (last day {long_day(item.last_day)})" for item in old if item.last_day)
    return Refusal.because(
        "kit expired",
        f"{kit.name} holds what is past its last day by then: {what}. Replace it, or choose another kit.",
        "kit",
    )


def kit_conflict(kit: Kit, period: tuple[datetime, datetime], but_for: Clinic | None = None) -> Refusal | None:
    """A Refusal that names the clinic which has the kit in ``period``, ``but_for`` apart; None when it is free."""
    others = KitBooking.objects.exclude(status=Status.CANCELLED).filter(kit=kit, period__overlap=period)
    if but_for is not None and but_for.pk:
        others = others.exclude(clinic=but_for)
    other = others.select_related("clinic__center").order_by("period").first()
    if other is None:
        return None
    clinic = other.clinic
    return Refusal.because(
        "kit taken",
        f"{kit.name} is packed for {clinic_words(clinic)}, {span(clinic.local_start, clinic.local_end)}. "
        "Choose another kit, or none for now.",
        "kit",
    )
