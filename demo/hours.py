"""When the demo's clinic of today is, and why it may be at an odd hour."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext

from core.formats import span

__all__ = ["LASTS", "hours_of_today", "why_at_this_hour"]

LASTS = timedelta(hours=2)
LATEST_END = time(23, 45)
STEP = 300  # seconds
# Clinics of real life begin and end between these.
USUAL_START, USUAL_END = time(9), time(20)


def hours_of_today(now: datetime, tz: ZoneInfo) -> tuple[datetime, datetime]:
    """Start and end of today's clinic: from about half an hour on, at a full five minutes, never over midnight.

    Late in the center's evening it has the last two hours that still end on the day, even when these have begun
    or are over.
    """
    soon = (now + timedelta(minutes=30)).timestamp()
    begins_at = datetime.fromtimestamp(-(-soon // STEP) * STEP, UTC)
    # Counted from instants, since on the night when clocks change the wall skips an hour or has one twice.
    latest_end = datetime.combine(now.astimezone(tz).date(), LATEST_END, tz).astimezone(UTC)
    begins_at = min(begins_at, latest_end - LASTS)
    return begins_at, begins_at + LASTS


def why_at_this_hour(starts: datetime, ends: datetime) -> str:
    """Say why a clinic of the demo is at an unusual hour of its center's day; "" for a usual hour."""
    if starts.time() < USUAL_START:
        why = gettext("Today’s demo clinic is early, %(hours)s, so that you can try its floor page now.")
    elif ends.time() > USUAL_END or ends.date() > starts.date():
        why = gettext("Today’s demo clinic is late, %(hours)s, so that you can try its floor page now.")
    else:
        return ""
    return why % {"hours": span(starts, ends)}
