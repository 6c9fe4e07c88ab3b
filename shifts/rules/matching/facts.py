"""What matching is told and what it answers: plain facts, no clock, no database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import pairwise

from people.rules.timeline import State
from shifts.rules.availability import Availability
from shifts.rules.eligibility import Kind

__all__ = [
    "Note",
    "Objective",
    "Options",
    "Person",
    "Placement",
    "Plan",
    "Position",
    "Requirement",
    "Stay",
    "check_matching",
]

Point = tuple[float, float]
Month = tuple[int, int]

LONGEST_SHIFT = timedelta(hours=16)
URGENT_RANK = 20


@dataclass(frozen=True, slots=True)
class Position:
    """One duty at one clinic for one person. Times are aware, on the center's clock, being there to going home.

    ``rank``: the lower, the sooner it is filled; 20 and below (lead, first aider) go before all others.
    ``accepted``: who has said yes, and stays. ``asked``: who was asked and has not answered. ``cannot``: whether the
    one who accepted can't stand on that day, so holds the position and does not count.
    """

    id: int
    clinic: int
    duty: str
    starts: datetime
    ends: datetime
    center: int = 0
    place: str = ""
    point: Point | None = None
    rank: int = 30
    in_ratio: bool = False
    accepted: int | None = None
    asked: int | None = None
    cannot: bool = False
    title: str = ""

    @property
    def day(self) -> date:
        return self.starts.date()

    @property
    def month(self) -> Month:
        return self.starts.year, self.starts.month


@dataclass(frozen=True, slots=True)
class Requirement:
    """A kind of clearance that a duty asks for from ``first`` until the eve of ``until``, and when it is current.

    ``states``: what it is when it is not current, each from its day on, in order. Without any it was never recorded or
    has expired.
    """

    kind: str
    name: str
    runs: tuple[tuple[date, date | None], ...] = ()
    first: date = date.min
    until: date = date.max
    states: tuple[tuple[date, State], ...] = ()

    def holds(self, day: date) -> bool:
        return self.first <= day < self.until

    def current(self, day: date) -> bool:
        return any(begins <= day and (last is None or day <= last) for begins, last in self.runs)

    def on(self, day: date) -> Kind:
        """The state of the clearance on a day, and the last day on which it was current until then."""
        if self.current(day):
            return Kind(self.kind, self.name, "current")
        last = max((last for _, last in self.runs if last is not None and last < day), default=None)
        known = [state for begins, state in self.states if begins <= day]
        return Kind(self.kind, self.name, known[-1] if known else "missing" if last is None else "expired", last)


@dataclass(frozen=True, slots=True)
class Stay:
    """Somewhere else than the positions to be filled: asked or accepted there."""

    starts: datetime
    ends: datetime
    point: Point | None = None
    title: str = ""
    clinic: int | None = None
    duty: str = ""
    reply: str = ""


@dataclass(frozen=True, slots=True)
class Person:
    """A volunteer as matching sees them.

    ``needs`` by (duty, place): what is asked, with the days on which it is current. ``used`` by (year, month): shifts
    and hours, travel included, outside the positions at hand. ``apart``: people not to be put on the same clinic.
    ``declined``: clinics they said no to. ``load``: shifts so far this season. ``served``: centers they know.
    ``may_ask``: how many more questions they may have open; None for any number.
    """

    id: int
    name: str = ""
    duties: frozenset[str] = frozenset()
    home: Point | None = None
    known: Availability = field(default_factory=Availability)
    needs: Mapping[tuple[str, str], tuple[Requirement, ...]] = field(default_factory=dict)
    stays: tuple[Stay, ...] = ()
    used: Mapping[Month, tuple[int, float]] = field(default_factory=dict)
    apart: frozenset[int] = frozenset()
    declined: frozenset[int] = frozenset()
    served: frozenset[int] = frozenset()
    load: int = 0
    may_ask: int | None = None
    adult: bool = True
    left_on: date | None = None


@dataclass(frozen=True, slots=True)
class Options:
    """``adults_needed`` by clinic: adults that the ratio asks for. ``seconds`` bound the whole search.

    ``road_factor`` turns a great circle into a road: 1.3, from memory (published detour factors lie near 1.2 to 1.4).
    ``km_per_hour``: common practice, no source. ``unknown_km``: what a distance counts as when a place is not known.
    ``prune_from``: with more pairs than this, pairs that no better plan can use are left out, with proof.
    """

    adults_needed: Mapping[int, int] = field(default_factory=dict)
    road_factor: float = 1.3
    km_per_hour: float = 45.0
    unknown_km: float = 25.0
    seconds: float = 20.0
    workers: int = 1
    seed: int = 0
    prune_from: int = 3000
    fill_only: bool = False


@dataclass(frozen=True, slots=True)
class Objective:
    """One thing a plan is judged by, lower is better. ``bound``: no plan that keeps the earlier ones can be below."""

    name: str
    value: int
    bound: int

    @property
    def proven(self) -> bool:
        return self.value <= self.bound

    @property
    def gap(self) -> float:
        return 0.0 if self.proven else (self.value - self.bound) / max(1, abs(self.value))


@dataclass(frozen=True, slots=True)
class Placement:
    position: int
    person: int
    km: float | None
    kept: bool  # accepted or asked there today


@dataclass(frozen=True, slots=True)
class Note:
    """What to know of a plan: "no volunteers"; "centers off the map" and "homes off the map", how many, and the
    kilometers that each way of theirs counts as."""

    code: str
    count: int = 0
    km: float = 0.0


@dataclass(frozen=True)
class Plan:
    """``placements`` by position, those already accepted included; ``unfilled``: positions nobody is put on.

    ``status``: "proven best", "best found" (time ran out, see the gaps) or "stopped".
    """

    placements: dict[int, Placement]
    unfilled: list[int]
    objectives: list[Objective]
    status: str
    seconds: float
    pairs: int
    notes: list[Note] = field(default_factory=list)

    def objective(self, name: str) -> Objective:
        return next(one for one in self.objectives if one.name == name)


def check_matching(positions: Sequence[Position], people: Sequence[Person], options: Options) -> None:
    """Raise ValueError, with a sentence, for facts that can't be matched."""
    for what, ids in (("position", [p.id for p in positions]), ("volunteer", [p.id for p in people])):
        for one, other in pairwise(sorted(ids)):
            if one == other:
                raise ValueError(f"The {what} {one} is there twice. Give each once.")
    for position in positions:
        name = position.title or f"Position {position.id}"
        if not position.duty:
            raise ValueError(f"{name} has no duty. Say which duty it needs.")
        if position.starts.tzinfo is None or position.ends.tzinfo is None:
            raise ValueError(f"{name} has times without a time zone. Give aware times.")
        if position.ends <= position.starts:
            raise ValueError(f"{name} ends before it starts. Check both times.")
        if position.ends - position.starts > LONGEST_SHIFT:
            raise ValueError(f"{name} lasts longer than 16 hours. Check both times, or make two of it.")
        _check_point(position.point, name)
    for person in people:
        name = person.name or f"Volunteer {person.id}"
        _check_point(person.home, name)
        for limit, unit in (
            (person.known.shifts_a_month, "shifts"),
            (person.known.hours_a_month, "hours"),
            (person.known.farthest_km, "kilometers"),
        ):
            if limit is not None and not 0 <= limit < 1_000_000:
                raise ValueError(f"{name} can't give at most {limit:g} {unit}. Give 0 or more, or nothing.")
        for shifts, hours in person.used.values():
            if shifts < 0 or not 0 <= hours < 1_000_000:
                raise ValueError(f"{name} can't have given {shifts} shifts and {hours:g} hours. Give 0 or more.")
        if person.load < 0 or (person.may_ask is not None and person.may_ask < 0):
            raise ValueError(f"{name} has a number below 0. Give 0 or more.")
    if not options.seconds > 0 or options.workers < 1:
        raise ValueError("Give the search more than 0 seconds and at least one worker.")
    if not (options.road_factor >= 1 and options.km_per_hour > 0 and options.unknown_km >= 0):
        raise ValueError("A road is at least as long as the straight line, and a speed is above 0.")


def _check_point(point: Point | None, name: str) -> None:
    if point is not None and not (abs(point[0]) <= 90 and abs(point[1]) <= 180):
        raise ValueError(f"{name} has a place that is not on the globe: {point[0]}, {point[1]}.")
