"""Who has given what this season: hours, kilometers, last asked, last said yes."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from people.models import Volunteer
from shifts.models import Assignment, Reply
from shifts.queries.availability import ROADS
from shifts.queries.facts import SEASON
from shifts.rules.matching.pairs import trip_km

__all__ = ["LoadLine", "load_lines"]


@dataclass
class LoadLine:
    """``hours`` and ``km`` given and promised from half a year back; km there and back by road, estimated."""

    volunteer: Volunteer
    shifts: int = 0
    hours: float = 0.0
    km: float = 0.0
    open: int = 0
    declined: int = 0
    last_asked: datetime | None = None
    last_accepted: datetime | None = None


def load_lines(now: datetime) -> list[LoadLine]:
    """List everybody who is with us, who gave most hours first. Two queries."""
    lines = {person.pk: LoadLine(person) for person in Volunteer.objects.active()}
    rows = Assignment.objects.filter(shift__clinic__starts_at__gte=now - SEASON, volunteer__in=lines)
    rows = rows.exclude(shift__clinic__status="cancelled").select_related("shift__clinic__center").order_by("asked_at")
    by: dict[int, list[Assignment]] = defaultdict(list)
    for row in rows:
        by[row.volunteer_id].append(row)
    for pk, mine in by.items():
        line = lines[pk]
        for row in mine:
            line.last_asked = row.asked_at
            if row.reply == Reply.DECLINED:
                line.declined += 1
            elif row.released_at is None and row.reply == Reply.ACCEPTED:
                line.last_accepted = row.replied_at
                line.shifts += 1
                line.hours += (row.period.upper - row.period.lower).total_seconds() / 3600
                line.km += 2 * (trip_km(line.volunteer.home, row.shift.clinic.center.point, ROADS) or 0)
            elif row.released_at is None:
                line.open += 1
    return sorted(lines.values(), key=lambda line: (-line.hours, line.volunteer.name))
