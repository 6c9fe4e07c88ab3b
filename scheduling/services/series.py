"""Books a series of clinics like one that is booked: looks at every date first; one letter to the center."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic, HandNeed
from core.formats import short_day
from core.refusal import Refusal
from kits.models import KIT_AFTER, KIT_BEFORE
from kits.queries.conflicts import kit_conflict
from scheduling.models import SET_UP, TAKE_DOWN
from scheduling.queries.conflicts import space_conflict
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.clinic_facts import ClinicFacts, check_clinic_facts, facts_of
from scheduling.services.hold_and_ask import hold_and_ask
from shifts.services.shifts import fit_shifts

__all__ = ["SeriesDate", "book_series", "cancel_rest", "lock_rest", "look_at_series", "rest_of"]


@dataclass(frozen=True)
class SeriesDate:
    """One day of the row; ``refusal`` says why no clinic can be booked on it, with what is still free."""

    day: date
    refusal: Refusal | None


def look_at_series(*, clinic: Clinic, days: Sequence[date], now: datetime) -> list[SeriesDate]:
    """Say what stands against each day; writes nothing. The clinic's own day is left out."""
    facts = facts_of(clinic)
    return [SeriesDate(day, _against(replace(facts, day=day), now)) for day in days if day != clinic.day]


def _against(facts: ClinicFacts, now: datetime) -> Refusal | None:
    try:
        start, end = check_clinic_facts(facts, now)
    except Refusal as problem:
        return problem
    refusal = space_conflict(facts.space, (start - SET_UP, end + TAKE_DOWN))
    if refusal is None and facts.kit is not None:
        refusal = kit_conflict(facts.kit, (start - KIT_BEFORE, end + KIT_AFTER))
    return refusal


@transaction.atomic
def book_series(*, clinic: Clinic, days: Sequence[date], now: datetime) -> list[Clinic]:
    """Book a clinic like this one on each day, all or none: 1 lock, 2 book each, 3 one letter with all the dates.

    Raises Refusal with every day that can't be, and writes nothing: somebody may have been faster since the look.
    """
    like = Clinic.objects.locked(clinic.pk)
    wanted = [day for day in days if day != like.day]
    if not wanted:
        raise Refusal.because(
            "no days", gettext("There are no dates to book. Change the pattern or the last date."), "until"
        )
    like.series = like.series or uuid.uuid4()
    like.save(update_fields=["series"])
    facts = facts_of(like)
    made = hold_and_ask(
        dates=[replace(facts, day=day) for day in wanted],
        now=now,
        named=lambda number, reason: replace(reason, text=f"{short_day(wanted[number])}: {reason.text}"),
    )
    by_hand = list(like.hand_needs.values_list("duty__code", "people"))
    for row in made:
        row.series, row.bring, row.takes_families = like.series, like.bring, like.takes_families
        row.save(update_fields=["series", "bring", "takes_families"])
        HandNeed.objects.bulk_create(HandNeed(clinic=row, duty_id=duty, people=people) for duty, people in by_hand)
        if by_hand:
            fit_shifts(row)
    return made


def rest_of(clinic: Clinic, now: datetime) -> list[Clinic]:
    """The clinic and the later ones of its row that are not over, soonest first."""
    if clinic.series is None:
        return [clinic]
    rows = Clinic.objects.live().filter(series=clinic.series, starts_at__gte=clinic.starts_at, ends_at__gt=now)
    return list(rows.select_related("center").order_by("starts_at", "pk"))


def lock_rest(clinic: Clinic, now: datetime) -> list[Clinic]:
    """Lock every clinic of ``rest_of`` in the usual order, and return them as read again under the locks."""
    numbers = [row.pk for row in rest_of(Clinic.objects.get(pk=clinic.pk), now)]
    rows = {row.pk: row for row in Clinic.objects.locked_in({clinic.pk, *numbers})}
    fresh = rows[clinic.pk]
    return sorted((row for row in rest_of(fresh, now) if row.pk in numbers), key=lambda row: row.pk)


@transaction.atomic
def cancel_rest(*, clinic: Clinic, because: str, now: datetime) -> int:
    """Cancel this clinic and every later one of its row; returns how many."""
    rows = lock_rest(clinic, now)
    for row in rows:
        cancel_clinic(clinic=row, because=because, now=now)
    return len(rows)
