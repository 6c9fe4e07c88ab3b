"""Sorts of incidents, what is left to do after one, and whether the child may play again.

A child who was hit on the head comes out of play, on the same day and until a health care provider clears them, and the
guardian is told: CDC HEADS UP, sheet for coaches (a copy of it, read; "out of play on the same day of the injury and
until cleared by a health care provider"). The state's law and the league's rules come first. That the guardian is told
after every other serious incident is common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

__all__ = [
    "CLEARED",
    "FOLLOWED",
    "HEAD",
    "NOT_HEAD",
    "OUTCOMES",
    "SORTS",
    "WONT_RETURN",
    "FollowUpFacts",
    "Wrong",
    "left_to_do",
    "may_play",
    "sort_of",
    "wrong_in",
]

HEAD = "head"
SORTS = (HEAD, "breathing", "seizure", "allergy", "bleeding", "other")
# After one of these the office has something to do.
FOLLOWED = SORTS[:-1]

# How a hit to the head ended for the office.
CLEARED = "cleared"
WONT_RETURN = "won't return"
NOT_HEAD = "not head"
OUTCOMES = (CLEARED, WONT_RETURN, NOT_HEAD)


def sort_of(facts: Mapping[str, Any]) -> str:
    """The sort of a phone's entry. A phone with an older page says only ``head``, and a hit to the head wins."""
    if facts.get("head") is True:
        return HEAD
    sort = facts.get("sort")
    return sort if sort in SORTS else "other"


def left_to_do(sort: str, *, told: bool, outcome: str) -> tuple[str, ...]:
    """What the office still has to do: codes "tell" and "clearance". Nothing is left when it is settled."""
    left = []
    if sort in FOLLOWED and not told:
        left.append("tell")
    if sort == HEAD and not outcome:
        left.append("clearance")
    return tuple(left)


def may_play(sort: str, outcome: str) -> bool:
    """Whether the child may play again. One who was not to come back is still not cleared when they do."""
    return sort != HEAD or outcome in (CLEARED, NOT_HEAD)


@dataclass(frozen=True)
class FollowUpFacts:
    """What the office writes down; days are those of the center."""

    told_on: date | None = None
    told_by: str = ""
    outcome: str = ""
    provider: str = ""
    cleared_on: date | None = None
    seen: str = ""
    reason: str = ""


class Wrong(NamedTuple):
    code: str
    field: str


def wrong_in(sort: str, facts: FollowUpFacts, *, happened_on: date, today: date) -> list[Wrong]:
    """Everything that is wrong with what the office wrote.

    Codes: "nobody named", "no time", "told before", "told later", "unknown outcome", "not a head injury",
    "no provider", "no day", "cleared before", "cleared later", "nothing seen", "no reason".
    """
    out = []
    if facts.told_on is not None and not facts.told_by:
        out.append(Wrong("nobody named", "told_by"))
    if facts.told_by and facts.told_on is None:
        out.append(Wrong("no time", "told_on"))
    out += _day_wrong(facts.told_on, "told", "told_on", happened_on, today)
    if facts.outcome not in ("", *OUTCOMES):
        out.append(Wrong("unknown outcome", "outcome"))
    elif facts.outcome and sort != HEAD:
        out.append(Wrong("not a head injury", "outcome"))
    if facts.outcome in (CLEARED, NOT_HEAD) and not facts.provider:
        out.append(Wrong("no provider", "provider"))
    if facts.outcome == CLEARED:
        if facts.cleared_on is None:
            out.append(Wrong("no day", "cleared_on"))
        if not facts.seen:
            out.append(Wrong("nothing seen", "seen"))
        out += _day_wrong(facts.cleared_on, "cleared", "cleared_on", happened_on, today)
    if facts.outcome in (WONT_RETURN, NOT_HEAD) and not facts.reason:
        out.append(Wrong("no reason", "reason"))
    return out


def _day_wrong(day: date | None, code: str, field: str, happened_on: date, today: date) -> list[Wrong]:
    if day is not None and day < happened_on:
        return [Wrong(f"{code} before", field)]
    if day is not None and day > today:
        return [Wrong(f"{code} later", field)]
    return []
