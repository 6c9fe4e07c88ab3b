"""The days of a series of clinics: weekly, every other week, or the same weekday of each month.

Recurrence rules are RFC 5545 section 3.3.10, expanded by dateutil.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, time

from dateutil.rrule import rrulestr

__all__ = ["MOST_DAYS", "PATTERNS", "SeriesError", "rule_for", "series_days"]

MOST_DAYS = 60
PATTERNS = ("weekly", "fortnightly", "monthly")
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


class SeriesError(ValueError):
    """A series that can't be. ``code``: "no pattern", "no end", "ends before start", "too few" or "too many"."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


def rule_for(first: date, pattern: str) -> str:
    """The RRULE of a pattern without its end. A month's fifth weekday counts as its last, so no month goes without."""
    if pattern == "weekly":
        return "FREQ=WEEKLY"
    if pattern == "fortnightly":
        return "FREQ=WEEKLY;INTERVAL=2"
    if pattern == "monthly":
        number = (first.day - 1) // 7 + 1
        return f"FREQ=MONTHLY;BYDAY={-1 if number == 5 else number}{WEEKDAYS[first.weekday()]}"
    raise SeriesError("no pattern")


def series_days(
    first: date, pattern: str, *, until: date | None = None, count: int | None = None, skip: Collection[date] = ()
) -> list[date]:
    """List the days from ``first`` on (included), through ``until`` or ``count`` of them, without those in ``skip``.

    Skipped days count, as with RFC 5545's EXDATE. Raises SeriesError for a series that never ends, ends before it
    starts, has no day, or has more than 60.
    """
    if until is None and count is None:
        raise SeriesError("no end")
    if until is not None and until < first:
        raise SeriesError("ends before start")
    if count is not None and count < 1:
        raise SeriesError("too few")
    rule = rrulestr(rule_for(first, pattern), dtstart=datetime.combine(first, time()))
    found: list[date] = []
    for moment in rule:
        day = moment.date()
        if (until is not None and day > until) or (count is not None and len(found) == count):
            break
        found.append(day)
        if len(found) > MOST_DAYS:
            raise SeriesError("too many")
    return [day for day in found if day not in set(skip)]
