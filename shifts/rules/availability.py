"""When somebody can come, by what they told us themselves."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, time

__all__ = ["Availability"]


@dataclass(frozen=True)
class Availability:
    """``windows``: weekday (Monday 0) to (from, until); none at all means any time. ``away``: first and last day."""

    windows: dict[int, tuple[time, time]] = field(default_factory=dict)
    away: Sequence[tuple[date, date]] = ()
    shifts_a_month: int | None = None
    hours_a_month: float | None = None
    farthest_km: float | None = None
