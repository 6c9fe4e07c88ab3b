"""Asks a center for several separate dates at once: looks at all before it holds any; one email, one page."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic
from core.refusal import Refusal
from scheduling.models import BookingRequest
from scheduling.services.bookings import book_clinic
from scheduling.services.changing import supposing
from scheduling.services.clinic_facts import ClinicFacts
from scheduling.services.hold_and_ask import hold_and_ask

__all__ = ["MOST_DATES", "AskedDate", "ask_dates", "look_at_dates"]

MOST_DATES = 12


@dataclass(frozen=True)
class AskedDate:
    """One of the dates; ``refusal`` says what stands against it, with what is still free that day."""

    facts: ClinicFacts
    refusal: Refusal | None


def look_at_dates(*, dates: Sequence[ClinicFacts], now: datetime) -> list[AskedDate]:
    """Say what stands against each date, including the other dates; writes nothing."""
    found: list[AskedDate] = []
    with supposing():
        booking_request = BookingRequest.objects.create(center=dates[0].center, asked_at=now)
        for facts in dates:
            try:
                with transaction.atomic():
                    book_clinic(facts=facts, now=now, booking_request=booking_request)
                found.append(AskedDate(facts, None))
            except Refusal as refusal:
                found.append(AskedDate(facts, refusal))
    return found


def ask_dates(*, dates: Sequence[ClinicFacts], now: datetime) -> list[Clinic]:
    """Hold the space on every date and ask the center for all of them in one letter: all or none.

    Raises Refusal with a reason for each date that can't be, in the field ``day_<n>`` of the form (the first is 1).
    """
    if not 1 <= len(dates) <= MOST_DATES:
        raise Refusal.because("how many", gettext("Ask for 1 to %(most)d dates at once.") % {"most": MOST_DATES})
    return hold_and_ask(dates=dates, now=now, named=lambda number, reason: replace(reason, field=f"day_{number + 1}"))
