"""The one place that asks what time it is, so that services can be handed another answer.

Nothing else in the product asks the system or the database for a time that a decision depends on; the linter
refuses it (``banned-api`` in pyproject.toml). Every process of the site reads the same variable at its start,
so that a run of the demo or of the tests can happen at any instant, as one.
"""

import os
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings

__all__ = ["AHEAD", "ahead", "home_zone", "move", "now", "today"]

# By how many seconds this clock is ahead of the system's: a decimal number, negative when it is behind.
# Production refuses it (config/settings.py).
AHEAD = "WHISTLESTOP_CLOCK_AHEAD"

_ahead = timedelta(seconds=float(os.environ.get(AHEAD) or 0))


def now() -> datetime:
    """This instant, aware, in UTC."""
    return _system() + _ahead


def today(tz: ZoneInfo | None = None) -> date:
    """The present day in ``tz``, or in the organization's own zone."""
    return now().astimezone(tz or home_zone()).date()


def home_zone() -> ZoneInfo:
    return ZoneInfo(settings.HOME_TIME_ZONE)


def ahead() -> timedelta:
    """How far this clock is ahead of the system's."""
    return _ahead


def move(to: datetime) -> None:
    """Set this clock to ``to`` (aware) and let it go on, here and in every process started from here on."""
    global _ahead
    if settings.PRODUCTION:
        raise RuntimeError("The clock of a production site is the system's.")
    _ahead = to - _system()
    os.environ[AHEAD] = repr(_ahead.total_seconds())


def _system() -> datetime:
    return datetime.now(UTC)  # noqa: TID251 - this is the one place
