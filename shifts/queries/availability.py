"""What volunteers told us of their time, for many at once."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time
from zoneinfo import ZoneInfo

from shifts.models import Assignment, Away, Limits, WeeklyWindow
from shifts.rules.availability import Availability
from shifts.rules.matching import Options
from shifts.rules.matching.pairs import drive_minutes

__all__ = ["ROADS", "MonthLoad", "availability_of", "hours_of", "month_loads"]


# How long a road is and how fast one drives on it: as matching has it, so that every page says the same.
ROADS = Options()


@dataclass
class MonthLoad:
    shifts: int = 0
    hours: float = 0.0


def availability_of(volunteer_ids: Iterable[int]) -> dict[int, Availability]:
    """What each volunteer told us of their time, by volunteer id; who told us nothing is left out. Three queries."""
    ids = list(volunteer_ids)
    windows: dict[int, dict[int, tuple[time, time]]] = defaultdict(dict)
    for row in WeeklyWindow.objects.filter(volunteer__in=ids):
        windows[row.volunteer_id][row.weekday] = (row.starts, row.ends)
    away = defaultdict(list)
    for gone in Away.objects.filter(volunteer__in=ids):
        away[gone.volunteer_id].append((gone.first_day, gone.last_day))
    limits = {row.volunteer_id: row for row in Limits.objects.filter(volunteer__in=ids)}
    found = {}
    for pk in {*windows, *away, *limits}:
        limit = limits.get(pk)
        found[pk] = Availability(
            windows=windows.get(pk, {}),
            away=away.get(pk, []),
            shifts_a_month=limit.shifts_a_month if limit else None,
            hours_a_month=limit.hours_a_month if limit else None,
            farthest_km=limit.farthest_km if limit else None,
        )
    return found


def hours_of(row: Assignment, home: tuple[float, float] | None) -> float:
    """Hours that a shift takes of somebody's month: being there, and the way there and back from ``home``."""
    way = 2 * drive_minutes(home, row.shift.clinic.center.point, ROADS) / 60
    return (row.period.upper - row.period.lower).total_seconds() / 3600 + way


def month_loads(volunteer_ids: Iterable[int], moment: datetime, tz: ZoneInfo) -> dict[int, MonthLoad]:
    """Each person's live shifts and their hours, ways included, in the month of ``moment`` at ``tz``. One query."""
    local = moment.astimezone(tz)
    first = datetime(local.year, local.month, 1, tzinfo=tz)
    after = datetime(local.year + local.month // 12, local.month % 12 + 1, 1, tzinfo=tz)
    loads: dict[int, MonthLoad] = defaultdict(MonthLoad)
    rows = Assignment.objects.live().filter(
        volunteer__in=list(volunteer_ids), period__startswith__gte=first, period__startswith__lt=after
    )
    for row in rows.order_by().select_related("volunteer", "shift__clinic__center"):
        loads[row.volunteer_id].shifts += 1
        loads[row.volunteer_id].hours += hours_of(row, row.volunteer.home)
    return loads
