"""When a changed hour is asked again, and when it is only told."""

from dataclasses import dataclass
from datetime import datetime, timedelta

__all__ = ["Hours", "needs_asking", "within_hold"]


@dataclass(frozen=True)
class Hours:
    """Start and end on the wall clock of the center, without zone."""

    start: datetime
    end: datetime


def needs_asking(before: Hours, after: Hours, tolerance: timedelta, same_center: bool = True) -> bool:
    """Whether people who said yes to ``before`` must be asked again for ``after``.

    At another center they must. Otherwise they need not when ``after`` lies inside ``before`` on the wall clock, since
    who could come then still can, nor when both ends move by at most ``tolerance`` on the same day.
    """
    if not same_center:
        return True
    if before.start <= after.start and after.end <= before.end:
        return False
    near = abs(after.start - before.start) <= tolerance and abs(after.end - before.end) <= tolerance
    return not (near and before.start.date() == after.start.date())


def within_hold(
    held: tuple[datetime, datetime], wanted: tuple[datetime, datetime], agreed: bool, same_space: bool
) -> bool:
    """Whether the center's yes covers what is wanted now: the same space, inside the hold that it agreed to."""
    return agreed and same_space and held[0] <= wanted[0] and wanted[1] <= held[1]
