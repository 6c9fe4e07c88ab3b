"""Why a kit can't be used for a clinic: another clinic has it, or something in it will be expired."""

from datetime import datetime

from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from core.formats import listed, long_day, span
from core.refusal import Refusal
from kits.models import Kit, KitBooking, KitItem

__all__ = ["kit_conflict", "kit_expired"]


def kit_expired(kit: Kit, clinic: Clinic) -> Refusal | None:
    """A Refusal that names what in the kit will be expired on the clinic's day; None when nothing will."""
    rows = KitItem.objects.filter(kit=kit, last_day__lt=clinic.day).prefetch_related("losses")
    old = [item for item in rows if item.held().past(clinic.day)]
    if not old:
        return None
    one = gettext("%(item)s (expires on %(day)s)")
    what = listed(one % {"item": item.name, "day": long_day(item.last_day)} for item in old if item.last_day)
    words = gettext("%(kit)s has items that will be expired by then: %(items)s. Replace them, or choose another kit.")
    return Refusal.because("kit expired", words % {"kit": kit.name, "items": what}, "kit")


def kit_conflict(kit: Kit, period: tuple[datetime, datetime], but_for: Clinic | None = None) -> Refusal | None:
    """A Refusal that names the clinic which has the kit in ``period``, ``but_for`` apart; None when it is free."""
    others = KitBooking.objects.exclude(status=Status.CANCELLED).filter(kit=kit, period__overlap=period)
    if but_for is not None and but_for.pk:
        others = others.exclude(clinic=but_for)
    other = others.select_related("clinic__center").order_by("period").first()
    if other is None:
        return None
    clinic = other.clinic
    words = gettext("%(kit)s is already booked for %(clinic)s, %(hours)s. Choose another kit, or none for now.")
    hours = span(clinic.local_start, clinic.local_end)
    facts = {"kit": kit.name, "clinic": clinic_words(clinic), "hours": hours}
    return Refusal.because("kit taken", words % facts, "kit")
