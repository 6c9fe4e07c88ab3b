"""What a volunteer's clearances allow for a duty on a given day.

Every function here asks about a day, never about now. The answer depends only on what is recorded, before or after
that day: a recorded renewal already carries the earlier record on, and a recorded refusal already cuts it short.
timeline.py says how one kind of clearance is read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from people.rules.evidence import Clearance, PolicyRow, expires_on, rows_by_duty
from people.rules.timeline import DAY, State, Timeline

__all__ = [
    "WORST_FIRST",
    "Clearance",
    "PolicyRow",
    "Reason",
    "Standing",
    "State",
    "expires_on",
    "horizon",
    "rows_by_duty",
    "standing",
]

WORST_FIRST: tuple[State, ...] = ("refused", "missing", "expired", "awaiting", "expires soon", "current")

_SEVERITY = {state: place for place, state in enumerate(WORST_FIRST)}


class Reason(NamedTuple):
    """One required kind, its state on the day, and the next day on which that state changes (None: never)."""

    kind: str
    state: State
    changes_on: date | None


@dataclass(frozen=True, slots=True)
class Standing:
    """The answer for one duty on one day.

    `reasons`: one per required kind, worst first, then the soonest to change.
    `last_days`: per kind, the last day of the run it is in; when it is not current, the day it last was. None
    means no limit when the reason's state is "current", and never current so far when it is any other.
    `ok_until`: the last day of the present unbroken run of ok days; None when not ok, or when nothing limits
    it.
    """

    state: State
    reasons: list[Reason]
    last_days: dict[str, date | None]
    ok_until: date | None

    @property
    def ok(self) -> bool:
        return self.state in ("current", "expires soon")


def _timelines(
    duty: str,
    clearances: Iterable[Clearance],
    policy: Sequence[PolicyRow] | Mapping[str, Sequence[PolicyRow]],
) -> dict[str, Timeline]:
    by_duty = policy if isinstance(policy, Mapping) else rows_by_duty(policy)
    rows = by_duty.get(duty, ())
    records: dict[str, list[Clearance]] = {row.kind: [] for row in rows}
    for clearance in clearances:
        if clearance.kind in records:
            records[clearance.kind].append(clearance)
    return {row.kind: Timeline(records[row.kind], row) for row in rows}


def _standing(timelines: Mapping[str, Timeline], on: date) -> Standing:
    reasons: list[Reason] = []
    last_days: dict[str, date | None] = {}
    for kind, timeline in timelines.items():
        state = timeline.state_on(on)
        run = timeline.run_on(on)
        reasons.append(Reason(kind, state, timeline.changes_on(on, state)))
        last_days[kind] = run[1] if run else None
    reasons.sort(key=lambda reason: (_SEVERITY[reason.state], reason.changes_on or date.max, reason.kind))
    state = reasons[0].state if reasons else "current"
    ok_until = None
    if state in ("current", "expires soon"):
        ok_until = min((last for last in last_days.values() if last is not None), default=None)
    return Standing(state, reasons, last_days, ok_until)


def _require_day(day: date) -> None:
    if isinstance(day, datetime):
        raise ValueError(f"Standing is asked of a day, not of a moment: use the date of {day}.")


def standing(
    duty: str,
    clearances: Sequence[Clearance],
    policy: Sequence[PolicyRow] | Mapping[str, Sequence[PolicyRow]],
    on: date,
) -> Standing:
    """One volunteer's standing for one duty on one day.

    `policy` is all policy rows, or `rows_by_duty` of them. Only the duty's own rows matter; a duty without
    rows requires nothing, so its state is "current" with no reasons. The worst required kind decides, in the
    order of `WORST_FIRST`. A clear record issued after the day does not make the kind current on that day, but
    it does tell when the state changes. An awaiting record stands in for missing or expired only, never for
    refused. Raises ValueError when `on` is a moment rather than a day, and when the policy names a kind
    twice.
    """
    _require_day(on)
    return _standing(_timelines(duty, clearances, policy), on)


def horizon(
    duty: str,
    clearances: Sequence[Clearance],
    policy: Sequence[PolicyRow] | Mapping[str, Sequence[PolicyRow]],
    start: date,
    end: date,
) -> list[tuple[date, Standing]]:
    """The days from `start` through `end` on which the standing changes, in order, each with its standing.

    A day counts when the state of any required kind differs from the day before. Raises ValueError when the
    period ends before it starts, and for whatever `standing` refuses.
    """
    _require_day(start)
    _require_day(end)
    if end < start:
        raise ValueError(f"The period ends on {end}, before it starts on {start}. Choose a later last day.")
    timelines = _timelines(duty, clearances, policy)
    days = {
        day
        for timeline in timelines.values()
        for day in timeline.change_days
        if start <= day <= end and day > date.min and timeline.state_on(day) != timeline.state_on(day - DAY)
    }
    return [(day, _standing(timelines, day)) for day in sorted(days)]
