"""Whether somebody can come, by what they told us themselves."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time

__all__ = ["Availability", "why_unavailable"]

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True)
class Availability:
    """``windows``: weekday (Monday 0) to (from, until); none at all means any time. ``away``: first and last day."""

    windows: dict[int, tuple[time, time]] = field(default_factory=dict)
    away: Sequence[tuple[date, date]] = ()
    shifts_a_month: int | None = None
    hours_a_month: float | None = None
    farthest_km: float | None = None


def why_unavailable(
    known: Availability,
    starts: datetime,
    ends: datetime,
    *,
    shifts_that_month: int,
    hours_that_month: float,
    km: float | None,
    way_hours: float = 0.0,
) -> list[str]:
    """Every reason against, in words; empty when they can come.

    ``starts`` and ``ends`` are the shift on the wall clock of its center, being there and staying after included.
    The month's shifts and hours are those already taken in the calendar month of ``starts``. ``way_hours``, there and
    back, count like the shift itself. Raises ValueError when
    the shift ends before it starts.
    """
    if ends <= starts:
        raise ValueError("A shift ends after it starts: check both times.")
    words = []
    for first, last in known.away:
        if first <= ends.date() and starts.date() <= last:
            until = "" if first == last else f" to {last.day} {last:%b}"
            words.append(f"away {first.day} {first:%b}{until}")
    if known.windows:
        window = known.windows.get(starts.weekday())
        if window is None:
            words.append(f"not free on a {DAYS[starts.weekday()]}")
        elif starts.time() < window[0] or ends.time() > window[1] or ends.date() != starts.date():
            words.append(f"free on a {DAYS[starts.weekday()]} only from {window[0]:%H:%M} to {window[1]:%H:%M}")
    if known.shifts_a_month is not None and shifts_that_month + 1 > known.shifts_a_month:
        words.append(f"has {shifts_that_month} of at most {known.shifts_a_month} shifts that month")
    hours = (ends - starts).total_seconds() / 3600 + way_hours
    if known.hours_a_month is not None and hours_that_month + hours > known.hours_a_month + 1e-9:
        words.append(f"would give more than {known.hours_a_month:g} hours that month")
    if known.farthest_km is not None and km is not None and km > known.farthest_km:
        words.append(f"{km:.0f} km away, farther than {known.farthest_km:g} km")
    return words
