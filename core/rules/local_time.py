"""Wall-clock times in a zone where the clocks change."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

__all__ = ["TimeDoesNotExist", "after_quiet", "first_moment_at", "localize", "shifted_past_gap"]


class TimeDoesNotExist(ValueError):
    """A wall time ``at`` that the clocks of ``zone`` skip on ``day``; ``first`` is the first moment that they show."""

    def __init__(self, day: date, at: time, zone: str, first: datetime) -> None:
        super().__init__(f"{at:%H:%M} does not exist on {day} in {zone}.")
        self.day, self.at, self.zone, self.first = day, at, zone, first


def localize(day: date, at: time, tz: ZoneInfo) -> datetime:
    """The moment the clocks of `tz` first show `at` (without a zone of its own) on `day`.

    A time that the clocks show twice means the first. Raises TimeDoesNotExist for one that they skip.
    """
    moment = shifted_past_gap(day, at, tz)
    if _is_shown(moment):
        return moment
    raise TimeDoesNotExist(day, at, tz.key, first_moment_at(day, at, tz))


def shifted_past_gap(day: date, at: time, tz: ZoneInfo) -> datetime:
    """Like `localize`, but a skipped time takes the offset before the gap: 02:30 is what shows as 03:30.

    RFC 5545 section 3.3.5 (from memory) and PEP 495 read a skipped time in this way.
    """
    return datetime.combine(day, at.replace(fold=0), tzinfo=tz)


def first_moment_at(day: date, at: time, tz: ZoneInfo) -> datetime:
    """The first moment on `day` when the clocks of `tz` show `at` or, where they skip it, any later time."""
    before_gap = shifted_past_gap(day, at, tz)
    if _is_shown(before_gap):
        return before_gap
    # The two readings of a skipped time lie on either side of the change; halve down to the second it
    # happens.
    low = before_gap.replace(fold=1).astimezone(UTC)
    high = before_gap.astimezone(UTC)
    old_offset = low.astimezone(tz).utcoffset()
    while high - low > timedelta(seconds=1):
        middle = low + timedelta(seconds=(high - low) // timedelta(seconds=2))
        if middle.astimezone(tz).utcoffset() == old_offset:
            low = middle
        else:
            high = middle
    return high.replace(microsecond=0).astimezone(tz)


def _is_shown(moment: datetime) -> bool:
    # Through UTC and back: a skipped time comes back as another one.
    return moment.astimezone(UTC).astimezone(moment.tzinfo).replace(tzinfo=None) == moment.replace(tzinfo=None)


def after_quiet(moment: datetime, quiet: tuple[time, time], tz: ZoneInfo) -> datetime:
    """``moment``, or the end of the quiet hours if it is in them on the wall clock of ``tz``.

    ``quiet`` runs from its first time to its second, over midnight when the second is earlier.
    """
    local = moment.astimezone(tz)
    begins, ends = quiet
    if begins <= ends:
        quiet_now, day = begins <= local.time() < ends, local.date()
    else:
        quiet_now = local.time() >= begins or local.time() < ends
        day = local.date() + timedelta(days=1) if local.time() >= begins else local.date()
    return first_moment_at(day, ends, tz).astimezone(moment.tzinfo) if quiet_now else moment
