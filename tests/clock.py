"""The instant at which every test begins, and ways to move on from it.

``CLOCK=2027-03-14T01:30`` (wall time in the organization's zone) moves it for a whole run; see the Makefile.
The site's one clock (``core.clock``) is what moves, and every process that a test starts inherits it; the
system's clock stays as it is, so a test fails when code asks the system's clock.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from core import clock

__all__ = ["INSTANT", "at", "begin", "first_instant"]

# A weekday afternoon at the centers, no change of daylight saving near: Thursday.
USUAL = "2026-12-03T14:30"
HOME = ZoneInfo("America/New_York")


def first_instant(words: str) -> datetime:
    """``words``, an ISO date and time, in UTC; raises pytest.UsageError for anything else."""
    try:
        instant = datetime.fromisoformat(words)
    except ValueError:
        raise pytest.UsageError(f"CLOCK is '{words}'. Write a day and a time, such as {USUAL}.") from None
    return (instant if instant.tzinfo else instant.replace(tzinfo=HOME)).astimezone(UTC)


INSTANT = first_instant(os.environ.get("CLOCK") or USUAL)


def begin() -> None:
    """Set the clock to INSTANT, here and in every process started from here on."""
    clock.move(INSTANT)


@contextmanager
def at(instant: datetime, *, tick: bool = True) -> Iterator[None]:
    """Within the block it is ``instant``, and time goes on from there unless ``tick`` is False."""
    kept = clock._ahead, clock._system, os.environ.get(clock.AHEAD)
    try:
        clock.move(instant)
        if not tick:
            clock._system = lambda: instant - clock._ahead
        yield
    finally:
        clock._ahead, clock._system = kept[:2]
        if kept[2] is None:
            os.environ.pop(clock.AHEAD, None)
        else:
            os.environ[clock.AHEAD] = kept[2]
