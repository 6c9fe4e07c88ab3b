"""When notes ahead of a start go out: at steps counted back from the start, and never at night."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from core.rules.local_time import first_moment_at, shifted_past_gap

__all__ = ["QUIET", "ReminderStep", "reminder_times"]

_MOST_DAYS = 366
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class ReminderStep:
    """One step of the schedule of reminders.

    It is due `hours_before` elapsed hours before the wall time `at` (None: the wall time at which the clinic starts),
    `days_before` calendar days before the clinic's day. Raises ValueError for a negative number, for more than 366
    days, and for an `at` with a zone.
    """

    name: str
    days_before: int = 0
    hours_before: int = 0
    at: time | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.days_before <= _MOST_DAYS or not 0 <= self.hours_before <= _MOST_DAYS * 24:
            raise ValueError(f"The reminder {self.name} must lie between 0 and {_MOST_DAYS} days before the clinic.")
        if self.at is not None and self.at.tzinfo is not None:
            raise ValueError(f"The reminder {self.name} needs a wall time without a zone: the center has one.")


# Nobody is written to between these hours at the center.
QUIET = (time(21), time(7))


def reminder_times(
    starts_at: datetime,
    schedule: Sequence[ReminderStep],
    quiet: tuple[time, time] | None,
    tz: ZoneInfo,
    now: datetime,
) -> list[tuple[str, datetime]]:
    """List the names of the steps with the moments (in UTC) at which they are due, earliest first.

    Wall times are those of the center's zone `tz`. A wall time that the clocks skip is read with the offset before the
    gap; one that they show twice means the first. `quiet` is [from, to) in wall times and may pass midnight (equal
    times: no quiet hours).

    A reminder in quiet hours waits until they end. If the clinic has started by then, it goes in the last minute before
    they begin. If that minute is quiet too, because the clocks skip all that is not, it is dropped. Reminders at or
    before `now`, and at or after the start, are left out; of two at one moment only the step nearer the start stays.
    Raises ValueError for a moment without a zone and for a year at either end of the calendar.
    """
    for name, moment in (("start", starts_at), ("present", now)):
        if moment.utcoffset() is None:
            raise ValueError(f"The {name} time {moment} has no time zone. Give it the center's.")
    if not MINYEAR + 1 < starts_at.year < MAXYEAR:
        raise ValueError(f"A clinic in the year {starts_at.year} can't have reminders. Check its date.")
    start = starts_at.astimezone(UTC)
    # The same zone object makes Python compare wall times, so every comparison below is made in UTC.
    nominal = [(_nominal(step, start, tz), place, step.name) for place, step in enumerate(schedule)]
    due: dict[datetime, str] = {}
    for moment, _, name in sorted(nominal):
        waking = _outside_quiet(moment, start, quiet, tz) if quiet else moment
        if waking is not None and now.astimezone(UTC) < waking < start:
            due[waking] = name
    return [(name, moment) for moment, name in sorted(due.items())]


def _nominal(step: ReminderStep, start: datetime, tz: ZoneInfo) -> datetime:
    if step.days_before == 0 and step.at is None:
        # The start itself, not its wall time: a clinic may start in the second showing of a repeated hour.
        base = start
    else:
        local = start.astimezone(tz)
        at = local.time() if step.at is None else step.at
        base = shifted_past_gap(local.date() - timedelta(days=step.days_before), at, tz).astimezone(UTC)
    return base - timedelta(hours=step.hours_before)


def _outside_quiet(moment: datetime, start: datetime, quiet: tuple[time, time], tz: ZoneInfo) -> datetime | None:
    if not _is_quiet(moment, quiet, tz):
        return moment
    ends = _quiet_end(moment, quiet, tz)
    waking = ends if ends < start else _quiet_begin(moment, quiet, tz) - _MINUTE
    return None if _is_quiet(waking, quiet, tz) else waking


def _is_quiet(moment: datetime, quiet: tuple[time, time], tz: ZoneInfo) -> bool:
    begins, ends = quiet
    wall = moment.astimezone(tz).time()
    return begins <= wall < ends if begins <= ends else wall >= begins or wall < ends


def _quiet_end(moment: datetime, quiet: tuple[time, time], tz: ZoneInfo) -> datetime:
    begins, ends = quiet
    local = moment.astimezone(tz)
    day = local.date() + timedelta(days=1) if begins > ends and local.time() >= begins else local.date()
    first = first_moment_at(day, ends, tz)
    if first.astimezone(UTC) < moment:
        # The clocks went back in between, so the end of quiet hours comes a second time.
        first = first.replace(fold=1)
    return first.astimezone(UTC)


def _quiet_begin(moment: datetime, quiet: tuple[time, time], tz: ZoneInfo) -> datetime:
    begins, ends = quiet
    local = moment.astimezone(tz)
    day = local.date() - timedelta(days=1) if begins > ends and local.time() < ends else local.date()
    return first_moment_at(day, begins, tz).astimezone(UTC)
