"""Whether one person may take one duty at one clinic: every reason against, as a code with what it is about.

This is the one place that decides it. The office's services refuse what is a bar (``NEVER``). What somebody told us of
their time, and what we ask of ourselves, is told (``TELL``): a coordinator who asks by name may know better, while
whatever chooses by itself (the search, the next best) takes nobody against whom anything is said.
``eligibility_reasons.py`` has the codes, and ``shifts/words/eligibility.py`` says each in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from people.rules.timeline import State
from shifts.rules.availability import Availability
from shifts.rules.eligibility_reasons import (
    NEVER,
    TELL,
    AlreadyThere,
    Apart,
    AskedEnough,
    Away,
    Declined,
    DutyNotHeld,
    Elsewhere,
    Engagement,
    Hours,
    Kind,
    Left,
    NotCleared,
    Reason,
    Shifts,
    TooFar,
    TooLate,
    UnderAge,
    Window,
)

__all__ = [
    "HELPER",
    "NEVER",
    "ROUNDING",
    "TELL",
    "AlreadyThere",
    "Apart",
    "AskedEnough",
    "Away",
    "Candidacy",
    "Declined",
    "DutyNotHeld",
    "Elsewhere",
    "Engagement",
    "Hours",
    "Kind",
    "Left",
    "NotCleared",
    "Reason",
    "Shifts",
    "TooFar",
    "TooLate",
    "UnderAge",
    "Wanted",
    "Window",
    "reasons_against",
]

CLEARED: tuple[State, ...] = ("current", "expires soon")
# The one duty of those under 18.
HELPER = "helper"
# Hours are sums of fractions: what adds up to the limit is within it.
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Wanted:
    """A duty at a clinic. Times on the center's clock, from being there to going home; ``name``: the duty's."""

    clinic: int
    duty: str
    starts: datetime
    ends: datetime
    name: str = ""

    @property
    def day(self) -> date:
        return self.starts.date()


@dataclass(frozen=True, slots=True)
class Candidacy:
    """What is known of one person for the duty wanted.

    ``kinds``: what the duty asks for on that day. ``shifts`` and ``hours``: of the clinic's month, given or promised
    elsewhere; ``takes``: what this one would add, in hours, the way there and back included. ``km``: the way there,
    None when it is not known. ``apart``: who is on the clinic and kept apart from them, by name. ``may_ask``: how many
    more questions they may have open, None for any number; ``asked``: how many a plan would put to them beside this
    one; ``asked_here``: whether this one is put to them already.
    """

    duties: frozenset[str]
    adult: bool = True
    left_on: date | None = None
    kinds: Sequence[Kind] = ()
    engagements: Sequence[Engagement] = ()
    known: Availability = field(default_factory=Availability)
    shifts: int = 0
    hours: float = 0.0
    takes: float = 0.0
    km: float | None = None
    apart: Sequence[str] = ()
    declined: bool = False
    may_ask: int | None = None
    asked: int = 0
    asked_here: bool = False


def reasons_against(wanted: Wanted, person: Candidacy) -> list[Reason]:
    """Every reason against, bars first; empty when nothing is. Raises ValueError when the shift ends before it starts.

    A limit is kept to its very edge: the last day away, the whole window, the last shift of the month, the last
    kilometer, and two shifts with just the drive between them.
    """
    if wanted.ends <= wanted.starts:
        raise ValueError("A shift ends after it starts: check both times.")
    return [
        *_who(wanted, person),
        *_engaged(wanted, person),
        *_told(wanted, person),
        *_limits(person),
        *_asking(person),
    ]


def _who(wanted: Wanted, person: Candidacy) -> list[Reason]:
    found: list[Reason] = []
    if person.left_on is not None:
        found.append(Left(person.left_on))
    if not person.adult and wanted.duty != HELPER:
        found.append(UnderAge())
    if wanted.duty not in person.duties:
        found.append(DutyNotHeld(wanted.name))
    found += [NotCleared(kind, wanted.day) for kind in person.kinds if kind.state not in CLEARED]
    return found


def _engaged(wanted: Wanted, person: Candidacy) -> list[Reason]:
    found: list[Reason] = []
    for shift in person.engagements:
        way = timedelta(minutes=shift.minutes)
        if shift.clinic == wanted.clinic:
            found.append(AlreadyThere(shift))
        elif shift.starts < wanted.ends and wanted.starts < shift.ends:
            found.append(Elsewhere(shift))
        elif not (shift.ends + way <= wanted.starts or wanted.ends + way <= shift.starts):
            found.append(TooLate(shift))
    return sorted(found, key=lambda reason: reason.severity == TELL)


def _told(wanted: Wanted, person: Candidacy) -> list[Reason]:
    found: list[Reason] = []
    starts, ends = wanted.starts, wanted.ends
    for first, last in person.known.away:
        if first <= ends.date() and starts.date() <= last:
            found.append(Away(first, last))
    if person.known.windows:
        hours = person.known.windows.get(starts.weekday())
        past_midnight = ends.date() != starts.date()
        if hours is None or starts.time() < hours[0] or ends.time() > hours[1] or past_midnight:
            found.append(Window(starts.weekday(), hours))
    return found


def _limits(person: Candidacy) -> list[Reason]:
    found: list[Reason] = []
    known, would = person.known, person.hours + person.takes
    if known.shifts_a_month is not None and person.shifts + 1 > known.shifts_a_month:
        found.append(Shifts(person.shifts, known.shifts_a_month))
    if known.hours_a_month is not None and would > known.hours_a_month + ROUNDING:
        found.append(Hours(would, known.hours_a_month))
    if known.farthest_km is not None and person.km is not None and person.km > known.farthest_km:
        found.append(TooFar(person.km, known.farthest_km))
    return found


def _asking(person: Candidacy) -> list[Reason]:
    found: list[Reason] = [Apart(name) for name in person.apart]
    if person.declined:
        found.append(Declined())
    if person.may_ask is not None and person.asked >= person.may_ask and not person.asked_here:
        found.append(AskedEnough(person.asked))
    return found
