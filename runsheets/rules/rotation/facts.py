"""What a run sheet is planned from, and what a planned one says: plain facts, no clock, no database."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from clinics.rules.supervision import LEAST_ADULTS, RatioTable
from core.rules.refused import Reason, Refused
from runsheets.rules.activities import Activity

__all__ = [
    "GOAL_ACTIVE",
    "WAITING",
    "Adult",
    "Change",
    "Floor",
    "Group",
    "GroupTime",
    "Objective",
    "Request",
    "RunSheet",
    "Slot",
    "per_adult_of",
]

# Institute of Medicine, Educating the Student Body (2013), recommendation 1: at least half of the class time in
# vigorous or moderate activity. Seen.
GOAL_ACTIVE = 0.5

# Where a group is that is at no station in a slot: beside the floor, with adults, waiting.
WAITING = "waiting"


@dataclass(frozen=True, slots=True)
class Group:
    """Children who go round together. Ages in completed years."""

    code: str
    children: int
    youngest: int
    oldest: int
    advanced: bool = False

    def __post_init__(self) -> None:
        if not self.code or self.code == WAITING:
            raise ValueError("A group needs a name of its own.")
        if self.children < 1:
            raise Refused.because("empty group", group=self.code)
        if not 0 <= self.youngest <= self.oldest <= 18:
            raise Refused.because("group ages", group=self.code, youngest=self.youngest, oldest=self.oldest)


@dataclass(frozen=True, slots=True)
class Floor:
    """What the space has. ``capacity``: most people in it, adults too; None where nothing is known.

    ``tables`` and ``sockets`` None: as many as are needed.
    """

    hoops: int
    balls: int
    capacity: int | None = None
    tables: int | None = None
    sockets: int | None = None

    def __post_init__(self) -> None:
        if min(self.hoops, self.balls, self.capacity or 0, self.tables or 0, self.sockets or 0) < 0:
            raise ValueError("A floor has 0 or more of a thing.")


@dataclass(frozen=True, slots=True)
class Adult:
    """A cleared adult who is there. ``skills``: what they can lead; None where nobody said, which counts as able."""

    name: str
    skills: frozenset[str] | None = None

    def can(self, skill: str) -> bool:
        return self.skills is None or skill in self.skills


@dataclass(frozen=True)
class Request:
    """Everything a plan is made from. ``per_adult``: children one adult may have, by the youngest's age.

    The fields from ``done`` on are what a run sheet that has begun leaves behind: stations each group has had, whole
    activities of the whole space that are over, minutes since water, and the minute at which the rest begins.
    """

    groups: tuple[Group, ...]
    activities: tuple[Activity, ...]
    minutes: int
    floor: Floor
    adults: tuple[Adult, ...]
    per_adult: Callable[[int], int]
    changeover: int
    water_every: int
    optional: frozenset[str]
    advanced_apart: bool
    stem: bool
    done: Mapping[str, frozenset[str]] = field(default_factory=dict)
    over: frozenset[str] = frozenset()
    since_water: int = 0
    start: int = 0

    @property
    def children(self) -> int:
        return sum(group.children for group in self.groups)

    def of_kind(self, *kinds: str) -> tuple[Activity, ...]:
        return tuple(one for one in self.activities if one.kind in kinds and one.code not in self.over)

    @property
    def stations(self) -> tuple[Activity, ...]:
        """The stations in the order in which they stand around the space."""
        return tuple(one for one in self.activities if not one.whole_space)

    def allowed(self, group: Group, one: Activity) -> bool:
        """Whether the station is meant for the group's ages and level."""
        if not one.suits(group.youngest, group.oldest):
            return False
        if one.level == "advanced":
            return self.advanced_apart and group.advanced
        return not (one.level == "newer" and self.advanced_apart and group.advanced)

    def due(self, group: Group) -> tuple[Activity, ...]:
        """The stations that the group must still have, once each."""
        had = self.done.get(group.code, frozenset())
        return tuple(
            one
            for one in self.stations
            if one.code not in had and one.code not in self.optional and self.allowed(group, one)
        )

    def open_to(self, group: Group) -> tuple[Activity, ...]:
        """The optional stations that the group may have, at most once each, in slots that due stations leave free."""
        had = self.done.get(group.code, frozenset())
        return tuple(
            one
            for one in self.stations
            if one.code not in had and one.code in self.optional and self.allowed(group, one)
        )

    def limit(self, group: Group) -> int:
        """How many children of this group one adult may have."""
        return self.per_adult(group.youngest)

    def adults_for_all(self, fewest: int = 0) -> int:
        """How many adults are needed when everybody is together, at least two.

        The children of each ratio are counted and rounded up by themselves.
        """
        by_ratio: dict[int, int] = {}
        for group in self.groups:
            by_ratio[self.limit(group)] = by_ratio.get(self.limit(group), 0) + group.children
        return max(LEAST_ADULTS, fewest, sum(-(-children // ratio) for ratio, children in by_ratio.items()))

    def with_floor(self, **numbers: int | None) -> Request:
        return replace(self, floor=replace(self.floor, **numbers))  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Objective:
    """One thing a plan is judged by, lower is better. ``bound``, proven: no plan that keeps the earlier is below.

    "not active": seconds of all children together in which they do not move, whatever the reason. "uneven": seconds
    active per child of the group with most less those of the group with fewest. "steps": from station to station
    around the space, neighbors one apart.
    """

    name: str
    value: int
    bound: int

    @property
    def proven(self) -> bool:
        return self.value <= self.bound


@dataclass(frozen=True, slots=True)
class Slot:
    """One stretch between two whistles. ``stations``: group to activity, or WAITING. ``adults``: activity to names.

    ``spare``: adults needed at no station, who float. Minutes count from the clinic's start.
    """

    kind: str
    start: int
    minutes: int
    stations: Mapping[str, str]
    adults: Mapping[str, tuple[str, ...]]
    spare: tuple[str, ...] = ()

    @property
    def end(self) -> int:
        return self.start + self.minutes


@dataclass(frozen=True, slots=True)
class GroupTime:
    """A child's minutes in a group, and what it plays with.

    ``active``: its turn or a partner's turn runs. ``waiting``: at a moving activity but not in a turn, or at no
    station. ``other``: STEM, water, closing circle, changing over. ``share_court``: active out of active and waiting.
    """

    group: str
    active: float
    waiting: float
    other: float
    ball_sizes: tuple[int, ...]
    rim_ft: float

    @property
    def share_all(self) -> float:
        whole = self.active + self.waiting + self.other
        return self.active / whole if whole else 0.0

    @property
    def share_court(self) -> float:
        court = self.active + self.waiting
        return self.active / court if court else 0.0


@dataclass(frozen=True, slots=True)
class Change:
    """A change after which a plan was found by planning again. ``parts``: (what, how many or which)."""

    parts: tuple[tuple[str, int | str], ...]


@dataclass(frozen=True)
class RunSheet:
    """The clinic's plan. ``status``: "proven best", "best found" (time ran out, see the bounds), "infeasible" (proven:
    ``binding`` says what stands against it, ``changes`` what helps) or "unknown" (time ran out with nothing found).

    ``spare_minutes`` are left at the end. What is said of a plan is in codes, see runsheets/words/reasons.py.
    """

    request: Request
    status: str
    slots: tuple[Slot, ...] = ()
    times: Mapping[str, GroupTime] = field(default_factory=dict)
    objectives: tuple[Objective, ...] = ()
    seconds: float = 0.0
    spare_minutes: int = 0
    binding: tuple[Reason, ...] = ()
    changes: tuple[Change, ...] = ()
    notes: tuple[Reason, ...] = ()

    @property
    def planned(self) -> bool:
        return self.status in ("proven best", "best found")

    def stations_of(self, group: str) -> list[str]:
        """The group's activity in each slot, in order."""
        return [slot.stations[group] for slot in self.slots]

    def objective(self, name: str) -> Objective:
        return next(one for one in self.objectives if one.name == name)

    @property
    def share_court(self) -> float:
        """Active minutes out of active and waiting ones, over all children."""
        return self._share(lambda time: time.active + time.waiting)

    @property
    def share_all(self) -> float:
        """Active minutes out of all minutes of the clinic, over all children."""
        return self._share(lambda time: time.active + time.waiting + time.other)

    @property
    def goal_met(self) -> bool:
        """Whether at least half of the time on court is active (see GOAL_ACTIVE)."""
        return self.planned and self.share_court >= GOAL_ACTIVE

    def _share(self, part: Callable[[GroupTime], float]) -> float:
        size = {group.code: group.children for group in self.request.groups}
        whole = sum(size[code] * part(time) for code, time in self.times.items())
        return sum(size[code] * time.active for code, time in self.times.items()) / whole if whole else 0.0


def per_adult_of(ratio: RatioTable | Callable[[int], int]) -> Callable[[int], int]:
    """Make a function from age to how many children one adult may have, from a published table or another function."""
    if isinstance(ratio, RatioTable):
        return lambda age: ratio.row_for(age).children_per_adult
    return ratio
