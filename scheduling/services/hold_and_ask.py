"""Holds a space on several dates, all or none, and asks the center for all of them in one letter."""

import hashlib
from collections.abc import Callable, Sequence
from datetime import datetime

from django.db import transaction

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.formats import counted
from core.refusal import Reason, Refusal
from scheduling.models import BookingRequest
from scheduling.services.bookings import book_clinic
from scheduling.services.clinic_facts import ClinicFacts
from scheduling.services.notes_to_centers import note_of_request

__all__ = ["fingerprint", "hold_and_ask"]


def fingerprint(dates: Sequence[ClinicFacts]) -> str:
    """A text that changes with any of the dates, their hours or their space: we hold what somebody looked at."""
    told = [(one.space.pk, one.day, one.starts, one.ends) for one in dates]
    return hashlib.sha256(repr(told).encode()).hexdigest()[:32]


@transaction.atomic
def hold_and_ask(
    *, dates: Sequence[ClinicFacts], now: datetime, named: Callable[[int, Reason], Reason]
) -> list[Clinic]:
    """Hold the space on every date, then ask the center for all of them in one letter: all or none.

    All dates are on one space. ``named`` gets a date's number, from 0, and a reason, and says in the reason which date
    it is against. Raises Refusal with every date that can't be.
    """
    booking_request = BookingRequest.objects.create(center=dates[0].center, asked_at=now)
    made: list[Clinic] = []
    reasons: list[Reason] = []
    for number, facts in enumerate(dates):
        try:
            with transaction.atomic():
                made.append(book_clinic(facts=facts, now=now, booking_request=booking_request))
        except Refusal as refusal:
            reasons += [named(number, reason) for reason in refusal.reasons]
    if reasons:
        raise Refusal(*reasons)
    note_of_request(
        booking_request=booking_request,
        summary=f"Request for {dates[0].space.name}, {counted(len(made), 'day')}, first {clinic_words(made[0])}",
        now=now,
    )
    return made
