"""Kits that can't go, go without something, are short of something, or are due to be looked after."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from django.urls import reverse

from clinics.needs import FORTNIGHT, Need
from core.formats import long_day, short_day
from kits.models import KitBooking
from kits.queries.condition import booked_kits, checks_due, kits_with_state, next_clinics

__all__ = ["TIME_TO_BUY", "kit_check_needs", "kit_short_needs"]

# How long buying or borrowing takes: three weeks, a guess of ours.
TIME_TO_BUY = timedelta(days=21)
MOST_NAMED = 3


def kit_short_needs(now: datetime) -> Iterator[Need]:
    """One need for each coming clinic whose kit can't go, or goes short. At most eight queries."""
    soon = KitBooking.objects.filter(clinic__starts_at__gt=now, clinic__starts_at__lt=now + TIME_TO_BUY)
    for booked in booked_kits(soon):
        kit, clinic = booked.kit, booked.clinic
        short = [line.short_words for line in booked.short]
        more = len(short) - MOST_NAMED
        listed = ", ".join(short[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        detail = f"For {clinic.center.name} on {long_day(clinic.day)}."
        if booked.blocks:
            headline = f"{kit} can't go to {clinic.center.name}"
            detail = f"{_sentence(booked.blocks)} It is packed for {long_day(clinic.day)}."
        elif booked.warns:
            headline = f"{kit} lacks what it must have"
            detail = f"{_sentence(booked.warns)} {detail}"
        elif short:
            headline = f"{kit} is short of {short[0]}" + (f" and {len(short) - 1} more" if len(short) > 1 else "")
            if len(short) > 1:
                detail = f"{listed}. {detail}"
            detail += " Buy or borrow in time."
        else:
            continue
        yield Need(
            day=clinic.day,
            rank=1 if booked.blocks else 4,
            headline=headline,
            detail=detail,
            action_label="Open the kit" if booked.blocks else "See the pack list",
            action_href=reverse("kit", args=[kit.pk]) if booked.blocks else reverse("clinic-pack", args=[clinic.pk]),
        )


def kit_check_needs(now: datetime, today: date) -> Iterator[Need]:
    """Checks that are due by the day of a kit's next clinic, when that is within a fortnight. Six queries."""
    following = {pk: clinic for pk, clinic in next_clinics(now).items() if clinic.starts_at < now + FORTNIGHT}
    kits = [kit for kit in kits_with_state() if kit.pk in following]
    due = checks_due(kits, today, {pk: clinic.day for pk, clinic in following.items()})
    for kit in kits:
        rows = [check for check in due.get(kit.pk, []) if check.state != "fine"]
        if not rows:
            continue
        clinic = following[kit.pk]
        since = [f"{check.words}, {_when(check.due, check.last is None, today)}" for check in rows]
        yield Need(
            day=min(clinic.day, max(today, min(check.due for check in rows))),
            rank=5,
            headline=f"{kit}: {' and '.join(check.words for check in rows)}",
            detail=f"{_sentence(since)} Its next clinic is {clinic.center.name} on {long_day(clinic.day)}.",
            action_label="Open the kit",
            action_href=reverse("kit", args=[kit.pk]),
        )


def _when(due: date, never: bool, today: date) -> str:
    if never:
        return "never recorded yet"
    return f"overdue since {short_day(due)}" if due < today else "due " + ("today" if due == today else short_day(due))


def _sentence(parts: list[str]) -> str:
    words = "; ".join(parts)
    return f"{words[:1].upper()}{words[1:]}."
