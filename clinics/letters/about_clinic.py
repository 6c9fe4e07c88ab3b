"""A clinic in a letter: whether it is still as the note says, and its facts."""

from datetime import datetime
from typing import Any

from django.utils.translation import gettext

from clinics.formatting import children_words, clinic_words
from clinics.models import BE_THERE_BEFORE, Clinic, Status
from core.formats import clock_time, long_day, span
from core.hooks import Hook
from outbox.letters import Stale, row_of
from outbox.models import Note

__all__ = ["clinic_context", "clinic_to_come", "lead_named", "live_clinic"]

# The name of who has accepted to lead a clinic, or ""; one answer.
lead_named: Hook[[Clinic], str] = Hook("clinics.lead_named")


def clinic_to_come(note: Note, now: datetime) -> Clinic:
    clinic = row_of(note, Clinic.objects.select_related("center").prefetch_related("bands"))
    if clinic is None:
        raise Stale(gettext("The clinic is no longer on file."))
    if clinic.ends_at <= now:
        raise Stale(gettext("The clinic is over."))
    return clinic


def live_clinic(note: Note, now: datetime) -> Clinic:
    clinic = clinic_to_come(note, now)
    if clinic.status == Status.CANCELLED:
        raise Stale(gettext("The clinic was cancelled."))
    if note.facts.get("revision") != clinic.revision:
        raise Stale(gettext("The clinic was moved after this email was written."))
    return clinic


def clinic_context(clinic: Clinic) -> dict[str, Any]:
    return {
        "clinic": clinic,
        "center": clinic.center,
        "title": clinic_words(clinic),
        "day": long_day(clinic.day),
        "hours": span(clinic.local_start, clinic.local_end),
        "be_there": clock_time(clinic.starts_at - BE_THERE_BEFORE, clinic.center.tz),
        "children": children_words(clinic),
        "lead": lead_named.ask_one(clinic),
    }
