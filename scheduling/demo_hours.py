"""When the demo's clinic of today is, and why it may be at an odd hour."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from scheduling.words import span

__all__ = ["LASTS", "hours_of_today", "why_at_this_hour"]

LASTS = timedelta(hours=2)
LATEST_END = time(23, 45)
# Clinics of real life begin and end between these.
USUAL_START, USUAL_END = time(9), time(20)


def hours_of_today(now: datetime, tz: ZoneInfo) -> tuple[datetime, datetime]:
    """From about half an hour from now, on a wall clock of five minutes; never over midnight at the center.

    Late in the evening the last two hours that still end on the day, begun or over as they may be.
    """
    local = now.astimezone(tz)
    midnight = local.replace(hour=0, minute=0, second=0, microsecond=0)
    minutes = local.hour * 60 + local.minute + 30
    latest = LATEST_END.hour * 60 + LATEST_END.minute - int(LASTS.total_seconds() // 60)
    start = min(-(-minutes // 5) * 5, latest)
    begins = midnight.replace(hour=start // 60, minute=start % 60)
    # An hour that the clocks skip is the same moment as the hour after it.
    begins_at = begins.astimezone(UTC)
    return begins_at, begins_at + LASTS


def why_at_this_hour(starts: datetime, ends: datetime) -> str:
    """A sentence about a clinic of the demo at an unusual hour of its center's day; "" for a usual hour."""
    if starts.time() < USUAL_START:
        session = "an early session"
    elif ends.time() > USUAL_END or ends.date() > starts.date():
        session = "a late session"
    else:
        return ""
    return f"Today’s demo clinic is {session}, {span(starts, ends)}, so that you can try its floor page now."
