"""Asking a center for several separate dates at once: all looked at before anything is held, one letter, one page."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from clinics.models import Clinic
from config.refusal import Reason, Refusal
from people.models import User
from scheduling.models import Asking
from scheduling.services.bookings import book_clinic
from scheduling.services.changing import supposing
from scheduling.services.clinic_facts import ClinicFacts
from scheduling.services.outbox import note_of_asking
from scheduling.words import clinic_words

__all__ = ["MOST_DATES", "AskedDate", "ask_dates", "fingerprint", "look_at_dates"]

MOST_DATES = 12


@dataclass(frozen=True)
class AskedDate:
    """One of the dates; ``refusal`` says what stands against it, with what is still free that day."""

    facts: ClinicFacts
    refusal: Refusal | None


def look_at_dates(*, dates: Sequence[ClinicFacts], by: User, now: datetime) -> list[AskedDate]:
    """What each date would meet, the other dates among it; nothing stays."""
    found: list[AskedDate] = []
    with supposing():
        asking = Asking.objects.create(center=dates[0].center, asked_at=now)
        for facts in dates:
            try:
                with transaction.atomic():
                    book_clinic(facts=facts, by=by, now=now, asking=asking)
                found.append(AskedDate(facts, None))
            except Refusal as refusal:
                found.append(AskedDate(facts, refusal))
    return found


def fingerprint(dates: Sequence[ClinicFacts]) -> str:
    """Changes with any of the dates, their hours or their floor: what is held must be what was looked at."""
    told = [(one.space.pk, one.day, one.starts, one.ends) for one in dates]
    return hashlib.sha256(repr(told).encode()).hexdigest()[:32]


@transaction.atomic
def ask_dates(*, dates: Sequence[ClinicFacts], by: User, now: datetime) -> list[Clinic]:
    """Hold the floor on every date and ask the center for all of them in one letter: all or none.

    Raises Refusal with a reason for each date that can't be, in the field ``day_<n>`` of the form (the first is 1).
    """
    if not 1 <= len(dates) <= MOST_DATES:
        raise Refusal.because("how many", f"Ask for 1 to {MOST_DATES} dates at once.")
    asking = Asking.objects.create(center=dates[0].center, asked_at=now)
    made: list[Clinic] = []
    reasons: list[Reason] = []
    for number, facts in enumerate(dates, start=1):
        try:
            with transaction.atomic():
                made.append(book_clinic(facts=facts, by=by, now=now, asking=asking))
        except Refusal as refusal:
            reasons += [Reason(reason.code, reason.text, f"day_{number}") for reason in refusal.reasons]
    if reasons:
        raise Refusal(*reasons)
    note_of_asking(
        asking=asking,
        summary=f"Ask for {dates[0].space.name} on {len(made)} days from {clinic_words(made[0])}",
        now=now,
    )
    return made
