"""Making so what was supposed: absences, children and times are written; a renewal only its holder can bring."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db import transaction

from clinics.models import Clinic
from clinics.rules.cover_needs import scaled_bands
from config.refusal import Refusal
from people.models import User, Volunteer
from scheduling.models import Away, Proposal
from scheduling.queries.suppose import suppose_words
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of

__all__ = ["make_so"]


@transaction.atomic
def make_so(*, proposal: Proposal, by: User, now: datetime) -> tuple[list[str], list[str]]:
    """Write what a proposal supposes, all of it or none; returns what was done and what a person must still do.

    Moving a clinic or changing its children goes the way of the booking form, with all its checks and letters.
    """
    done, to_do = [], []
    for change in proposal.suppose:
        words = suppose_words(change)
        if change["what"] == "renew":
            to_do.append(words)
            continue
        if change["what"] == "away":
            person = Volunteer.objects.filter(pk=change["volunteer"]).first()
            if person is None:
                raise Refusal.because("gone", "That volunteer is no longer in the books.")
            first, last = date.fromisoformat(change["first"]), date.fromisoformat(change["last"])
            Away.objects.get_or_create(volunteer=person, first_day=first, last_day=last)
        else:
            _change_clinic(change, by, now)
        done.append(words)
    return done, to_do


def _change_clinic(change: dict[str, Any], by: User, now: datetime) -> None:
    clinic = Clinic.objects.select_related("center").prefetch_related("bands").filter(pk=change["clinic"]).first()
    if clinic is None:
        raise Refusal.because("gone", "That clinic is no longer in the books.")
    facts = facts_of(clinic)
    if change["what"] == "children":
        facts = replace(facts, bands=scaled_bands(facts.bands, int(change["children"])))
    else:
        starts = time.fromisoformat(change["starts"])
        length: timedelta = clinic.ends_at - clinic.starts_at
        ends = (datetime.combine(date.min, starts) + length).time()
        facts = replace(facts, day=date.fromisoformat(change["day"]), starts=starts, ends=ends)
    change_clinic(clinic=clinic, facts=facts, by=by, now=now)
