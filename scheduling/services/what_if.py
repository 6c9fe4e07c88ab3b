"""Changes a clinic as a proposal of cover supposed it, in the way that the booking form does."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic
from clinics.rules.cover_needs import scaled_bands
from core.refusal import Refusal
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of

__all__ = ["change_for_what_if"]


@transaction.atomic
def change_for_what_if(change: dict[str, Any], now: datetime) -> None:
    """Give a clinic other children or another time, with all checks and letters. Answers ``shifts.hooks``."""
    clinic = Clinic.objects.select_related("center").prefetch_related("bands").filter(pk=change["clinic"]).first()
    if clinic is None:
        raise Refusal.because("gone", gettext("That clinic is no longer on file."))
    facts = facts_of(clinic)
    if change["what"] == "children":
        facts = replace(facts, bands=scaled_bands(facts.bands, int(change["children"])))
    else:
        starts = time.fromisoformat(change["starts"])
        length: timedelta = clinic.ends_at - clinic.starts_at
        ends = (datetime.combine(date.min, starts) + length).time()
        facts = replace(facts, day=date.fromisoformat(change["day"]), starts=starts, ends=ends)
    change_clinic(clinic=clinic, facts=facts, now=now)
