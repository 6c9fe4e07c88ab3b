"""Whether a center's paper of one kind holds on a day, and when its contact is reminded that it ends.

Common practice, no source: a newer paper takes over on its own first day, whatever the older one said.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

__all__ = ["CATCH_UP_DAYS", "RUNGS", "AgreementState", "Held", "State", "agreement_state", "due_step"]

# Days before the last day on which the contact is written to, and from when on it is called expiring soon.
# A guess of ours.
RUNGS = (60, 30, 7)
# A rung missed while nothing ran is made up for within so many days.
CATCH_UP_DAYS = 3
DAY = timedelta(days=1)


class State(StrEnum):
    CURRENT = "current"
    EXPIRES_SOON = "expires soon"
    EXPIRED = "expired"
    MISSING = "missing"


@dataclass(frozen=True, slots=True)
class Held:
    """One paper; of two that begin on one day the higher ``number`` is the newer."""

    number: int
    from_day: date
    until_day: date


@dataclass(frozen=True, slots=True)
class AgreementState:
    """The state of a center's papers of one kind on a day.

    ``number`` is the paper that holds, or the last that held. ``last_day`` is the last day without a gap, or the day it
    ended. ``begins`` is the first day of the next paper when no paper holds.
    """

    state: State
    number: int | None = None
    last_day: date | None = None
    begins: date | None = None

    @property
    def holds(self) -> bool:
        return self.state in (State.CURRENT, State.EXPIRES_SOON)


def agreement_state(held: Iterable[Held], on: date, notice_days: int = RUNGS[0]) -> AgreementState:
    """Work out the state on a day of papers of one kind. Each holds on its first day, its last day and all between.

    A paper is expiring soon from ``notice_days`` before the last day. Raises ValueError for one that ends before it
    begins.
    """
    papers = sorted(held, key=lambda paper: (paper.from_day, paper.number))
    for paper in papers:
        if paper.until_day < paper.from_day:
            raise ValueError(f"Paper {paper.number} ends on {paper.until_day}, before it begins.")
    begun = [paper for paper in papers if paper.from_day <= on]
    later = papers[len(begun) :]
    begins = later[0].from_day if later else None
    if not begun:
        return AgreementState(State.MISSING, begins=begins)
    current = begun[-1]
    if current.until_day < on:
        return AgreementState(State.EXPIRED, current.number, current.until_day, begins)
    last_day, number = current.until_day, current.number
    for paper in later:
        if paper.from_day > last_day + DAY:
            break
        last_day, number = paper.until_day, paper.number
    state = State.EXPIRES_SOON if (last_day - on).days <= notice_days else State.CURRENT
    return AgreementState(state, number, last_day)


def due_step(last_day: date, today: date) -> int | None:
    """The step of ``RUNGS`` that falls on ``today`` or was missed shortly before, in days before ``last_day``.

    The step nearest the last day when there are two; None when there is none.
    """
    due = [days for days in RUNGS if 0 <= (today - (last_day - timedelta(days=days))).days < CATCH_UP_DAYS]
    return min(due) if due else None
