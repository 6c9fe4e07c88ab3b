"""Days of a week and of a month's sheet, and where a stretch of time lies on the clock of one day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

__all__ = ["FIRST_DAY", "LAST_DAY", "Part", "clock_change", "month_weeks", "next_month", "part_of_day", "week_of"]

# Beyond these nobody plans a clinic, and arithmetic on days stays inside the calendar.
FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2100, 12, 31)
DAY = timedelta(days=1)
MINUTES = 24 * 60


@dataclass(frozen=True, slots=True)
class Part:
    """The minutes of a day's wall clock that a stretch covers, and whether it goes beyond a midnight."""

    begins: int
    ends: int
    from_before: bool
    into_next: bool


def week_of(day: date) -> list[date]:
    """Monday through Sunday around ``day`` (ISO 8601 weeks)."""
    monday = day - DAY * day.weekday()
    return [monday + DAY * number for number in range(7)]


def month_weeks(day: date) -> list[list[date]]:
    """Whole weeks that cover the month of ``day``."""
    monday = week_of(day.replace(day=1))[0]
    weeks = []
    while monday < next_month(day):
        weeks.append(week_of(monday))
        monday += 7 * DAY
    return weeks


def next_month(day: date, months: int = 1) -> date:
    """The first day of the month ``months`` later, or earlier when ``months`` is negative."""
    number = day.year * 12 + day.month - 1 + months
    return date(number // 12, number % 12 + 1, 1)


def part_of_day(starts: datetime, ends: datetime, day: date, tz: ZoneInfo) -> Part | None:
    """The part of ``starts`` to ``ends`` (aware) that lies on ``day`` by the wall clock of ``tz``; None without one.

    On a day when the clocks change the wall clock still has 24 hours: an hour that comes twice is drawn once.
    """
    here, there = starts.astimezone(tz), ends.astimezone(tz)
    if here.date() > day or there.date() < day or (there.date() == day and there.time() == time() and ends > starts):
        return None
    from_before, into_next = here.date() < day, there.date() > day
    # An end at midnight belongs to the day that it closes.
    if there == datetime.combine(day + DAY, time(), tz):
        into_next = False
    begins = 0 if from_before else here.hour * 60 + here.minute
    until = MINUTES if there.date() > day else there.hour * 60 + there.minute
    return Part(begins, max(until, begins), from_before, into_next)


def clock_change(day: date, tz: ZoneInfo) -> str:
    """Return ``forward`` or ``back`` when the clocks change on ``day`` in ``tz``, else "" for no change."""
    before = datetime.combine(day, time(), tz).utcoffset()
    after = datetime.combine(day + DAY, time(), tz).utcoffset()
    assert before is not None and after is not None
    return "forward" if after > before else "back" if after < before else ""
