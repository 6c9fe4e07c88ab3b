"""Doing for real what a what-if tried: absences, children, times; a renewal only its holder can bring."""

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from core.refusal import Refusal
from people.models import Volunteer
from shifts.hooks import change_for_what_if
from shifts.models import Away, Proposal
from shifts.queries.what_if import what_if_sentence

__all__ = ["make_so"]


@transaction.atomic
def make_so(*, proposal: Proposal, now: datetime) -> tuple[list[str], list[str]]:
    """Write what a proposal supposes, all of it or none; returns what was done and what a person must still do.

    A change of a clinic's time or children has all the checks and letters of the booking form.
    """
    done, to_do = [], []
    for change in proposal.what_if:
        words = what_if_sentence(change)
        if change["what"] == "renew":
            to_do.append(words)
            continue
        if change["what"] == "away":
            person = Volunteer.objects.filter(pk=change["volunteer"]).first()
            if person is None:
                raise Refusal.because("gone", gettext("That volunteer is no longer on file."))
            first, last = date.fromisoformat(change["first"]), date.fromisoformat(change["last"])
            Away.objects.get_or_create(volunteer=person, first_day=first, last_day=last)
        else:
            change_for_what_if.ask_one(change, now)
        done.append(words)
    return done, to_do
