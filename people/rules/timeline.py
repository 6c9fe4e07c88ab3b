"""One kind of clearance over all days: when it is current, and what it is when it is not.

In order:

1. A clear record is current from the day it was issued through the earlier of its own last day and the
   policy's months. A refused or withdrawn record ends every clear record issued on or before its day (on the
   same day the refused or withdrawn one wins).
2. Periods that touch or overlap make one run; the run's last day is what counts for "expires soon".
3. Outside every run: "refused" if a refusal has no later clear record; else "awaiting" if a request is open;
   else "missing" if nothing was ever clear, or if the latest evidence is a withdrawal; else "expired".
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Literal

from people.rules.evidence import Clearance, PolicyRow, expires_on

__all__ = ["DAY", "State", "Timeline"]

State = Literal["current", "expires soon", "expired", "missing", "awaiting", "refused"]

DAY = timedelta(days=1)


class Timeline:
    """One kind of clearance over all days."""

    __slots__ = (
        "_awaiting_from",
        "_clear_days",
        "_notice_days",
        "_refused_days",
        "_withdrawn_days",
        "change_days",
        "runs",
    )

    def __init__(self, records: Iterable[Clearance], row: PolicyRow) -> None:
        clear: list[Clearance] = []
        refused: list[date] = []
        withdrawn: list[date] = []
        awaiting_from: date | None = None
        for record in records:
            if record.state == "clear":
                clear.append(record)
            elif record.state == "refused":
                refused.append(record.counts_from)
            elif record.state == "withdrawn":
                withdrawn.append(record.counts_from)
            elif awaiting_from is None or record.counts_from < awaiting_from:
                awaiting_from = record.counts_from
        clear.sort(key=lambda record: record.counts_from)
        self._clear_days = [record.counts_from for record in clear]
        self._refused_days = sorted(refused)
        self._withdrawn_days = sorted(withdrawn)
        self._awaiting_from = awaiting_from
        self._notice_days = row.notice_days
        self.runs = _runs(clear, sorted(refused + withdrawn), row)
        self.change_days = self._days_that_may_change()

    def _days_that_may_change(self) -> list[date]:
        days = [*self._refused_days, *self._withdrawn_days]
        if self._awaiting_from is not None:
            days.append(self._awaiting_from)
        for begins, last in self.runs:
            days.append(begins)
            if last is None:
                continue
            if (last - begins).days > self._notice_days:
                days.append(last - timedelta(days=self._notice_days))
            if last < date.max:
                days.append(last + DAY)
        days.sort()
        return days

    def run_on(self, day: date) -> tuple[date, date | None] | None:
        """The latest run that has begun by the day, whether or not it still lasts."""
        begun = None
        for run in self.runs:
            if run[0] > day:
                break
            begun = run
        return begun

    def state_on(self, day: date) -> State:
        run = self.run_on(day)
        if run is not None:
            last = run[1]
            if last is None:
                return "current"
            if day <= last:
                return "expires soon" if (last - day).days <= self._notice_days else "current"
        clear = _latest(self._clear_days, day)
        if _stands_against(_latest(self._refused_days, day), clear):
            return "refused"
        if self._awaiting_from is not None and self._awaiting_from <= day:
            return "awaiting"
        if clear is None or _stands_against(_latest(self._withdrawn_days, day), clear):
            return "missing"
        return "expired"

    def changes_on(self, day: date, state: State) -> date | None:
        for later in self.change_days:
            if later > day and self.state_on(later) != state:
                return later
        return None


def _latest(days: list[date], day: date) -> date | None:
    place = bisect_right(days, day)
    return days[place - 1] if place else None


def _stands_against(adverse: date | None, clear: date | None) -> bool:
    return adverse is not None and (clear is None or adverse >= clear)


def _runs(clear: Sequence[Clearance], stops: Sequence[date], row: PolicyRow) -> list[tuple[date, date | None]]:
    """Unbroken current periods, in order: (first day, last day or None). `clear` and `stops` are in order."""
    runs: list[tuple[date, date | None]] = []
    day: date | None = None
    earlier_last: date | None = None
    for record in clear:
        begins = record.counts_from
        if begins != day:
            # Two records of one day are one piece of evidence entered twice: neither renews the other.
            day, earlier_last = begins, runs[-1][1] if runs else None
        renews = row.overlap and earlier_last is not None and earlier_last >= begins
        last = expires_on(earlier_last if renews and earlier_last else begins, row.months)
        if record.expires_on is not None:
            last = record.expires_on if last is None else min(last, record.expires_on)
        place = bisect_left(stops, begins)
        if place < len(stops):
            if stops[place] == begins:
                continue
            eve = stops[place] - DAY
            last = eve if last is None else min(last, eve)
        if not runs:
            runs.append((begins, last))
            continue
        first_day, run_last = runs[-1]
        if run_last is not None and (begins - run_last).days > 1:
            runs.append((begins, last))
        elif run_last is not None and (last is None or last > run_last):
            runs[-1] = (first_day, last)
    return runs
