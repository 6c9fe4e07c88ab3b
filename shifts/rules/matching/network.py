"""The matching problem in whole numbers: who could take what, what can't be together, and what is left to fill."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from math import ceil

from shifts.rules.matching.facts import URGENT_RANK, Options, Person, Position
from shifts.rules.matching.pairs import can, load_minutes, reachable, road_km

__all__ = ["Arc", "Group", "Limit", "Network", "build_network", "least_open"]


@dataclass(frozen=True, slots=True)
class Group:
    """Positions of one duty at one clinic that nobody has accepted: one like the other, so counted and not named."""

    clinic: int
    positions: tuple[Position, ...]
    weight: int

    @property
    def demand(self) -> int:
        return len(self.positions)

    @property
    def in_ratio(self) -> bool:
        return self.positions[0].in_ratio


@dataclass(frozen=True, slots=True)
class Arc:
    """One person could take one place in one group. ``today``: was asked there and has not answered."""

    group: int
    person: int  # index
    km: int
    minutes: int
    today: bool
    served: bool


@dataclass(frozen=True, slots=True)
class Limit:
    """At most ``most`` of the arcs' weights."""

    arcs: tuple[int, ...]
    weights: tuple[int, ...]
    most: int


@dataclass
class Network:
    people: Sequence[Person]
    groups: list[Group] = field(default_factory=list)
    arcs: list[Arc] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)
    # By clinic: how many of the ratio's adults are still to be found among its groups.
    short: dict[int, int] = field(default_factory=dict)
    base: list[int] = field(default_factory=list)

    @cached_property
    def of_person(self) -> dict[int, list[int]]:
        found: dict[int, list[int]] = defaultdict(list)
        for place, arc in enumerate(self.arcs):
            found[arc.person].append(place)
        return found

    @cached_property
    def of_group(self) -> dict[int, list[int]]:
        found: dict[int, list[int]] = defaultdict(list)
        for place, arc in enumerate(self.arcs):
            found[arc.group].append(place)
        return found


def least_open(net: Network) -> dict[int, int]:
    """By group, how many places stay open in every plan because too few people could take them."""
    return {n: max(0, group.demand - len(net.of_group.get(n, ()))) for n, group in enumerate(net.groups)}


def build_network(positions: Sequence[Position], people: Sequence[Person], options: Options) -> Network:
    """Turn the facts into a network. Accepted positions are not searched for, and count in their person's limits."""
    net = Network(people)
    index = {person.id: place for place, person in enumerate(people)}
    kept = defaultdict(list)
    for position in positions:
        if position.accepted is not None and position.accepted in index:
            kept[index[position.accepted]].append(position)
    _groups(net, positions)
    _arcs(net, kept, options)
    _limits(net, kept, options)
    net.base = [person.load + len(kept[place]) for place, person in enumerate(people)]
    in_ratio: dict[int, int] = defaultdict(int)
    for position in positions:
        if position.accepted is not None and position.in_ratio and not position.cannot:
            in_ratio[position.clinic] += 1
    for clinic, needed in options.adults_needed.items():
        left = needed - in_ratio[clinic]
        if left > 0:
            net.short[clinic] = left
    return net


def _groups(net: Network, positions: Sequence[Position]) -> None:
    found: dict[tuple[int, str, int, bool], list[Position]] = defaultdict(list)
    for position in positions:
        if position.accepted is None:
            found[position.clinic, position.duty, position.rank, position.in_ratio].append(position)
    others = sum(len(rows) for (_, _, rank, _), rows in found.items() if rank > URGENT_RANK)
    for (clinic, _, rank, _), rows in found.items():
        # One lead or first aider outweighs everybody else together.
        net.groups.append(Group(clinic, tuple(rows), others + 1 if rank <= URGENT_RANK else 1))


def _arcs(net: Network, kept: dict[int, list[Position]], options: Options) -> None:
    there: dict[int, list[int]] = defaultdict(list)
    apart = {person.id: person.apart for person in net.people}
    for rows in kept.values():
        for position in rows:
            if position.accepted is not None:
                there[position.clinic].append(position.accepted)
    by_duty: dict[str, list[tuple[int, Group]]] = defaultdict(list)
    for number, group in enumerate(net.groups):
        by_duty[group.positions[0].duty].append((number, group))
    for place, person in enumerate(net.people):
        mine = [pair for duty in sorted(person.duties) for pair in by_duty.get(duty, ())]
        for number, group in sorted(mine, key=lambda pair: pair[0]):
            first = group.positions[0]
            today = any(position.asked == person.id for position in group.positions)
            if not can(person, first, options):
                continue
            if any(not reachable(p, first, options) for p in kept[place]):
                continue
            if any(other in person.apart or person.id in apart.get(other, ()) for other in there[first.clinic]):
                continue
            km = road_km(person, first, options)
            net.arcs.append(
                Arc(
                    number,
                    place,
                    ceil(options.unknown_km if km is None else km - 1e-9),
                    load_minutes(person, first, options),
                    today,
                    first.center in person.served,
                )
            )


def _limits(net: Network, kept: dict[int, list[Position]], options: Options) -> None:
    for place, arcs in net.of_person.items():
        person = net.people[place]
        for clique in _cliques(net, arcs, options):
            net.limits.append(Limit(tuple(clique), (1,) * len(clique), 1))
        months = defaultdict(list)
        for arc in arcs:
            months[_first(net, arc).month].append(arc)
        for month, rows in months.items():
            shifts, hours = person.used.get(month, (0, 0.0))
            mine = [position for position in kept[place] if position.month == month]
            most = person.known.shifts_a_month
            if most is not None and len(rows) > max(0, most - shifts - len(mine)):
                left = max(0, most - shifts - len(mine))
                net.limits.append(Limit(tuple(rows), (1,) * len(rows), left))
            if person.known.hours_a_month is not None:
                given = hours * 60 + sum(load_minutes(person, position, options) for position in mine)
                left = max(0, int(person.known.hours_a_month * 60 - given + 1e-6))
                minutes = tuple(net.arcs[arc].minutes for arc in rows)
                if sum(minutes) > left:
                    net.limits.append(Limit(tuple(rows), minutes, left))
                    net.limits.append(Limit(tuple(rows), (1,) * len(rows), _fit(minutes, left)))
        if person.may_ask is not None:
            fresh = [arc for arc in arcs if not net.arcs[arc].today]
            if len(fresh) > person.may_ask:
                net.limits.append(Limit(tuple(fresh), (1,) * len(fresh), person.may_ask))
    _apart(net)


def _fit(minutes: tuple[int, ...], left: int) -> int:
    """How many at the most fit into the time: says in whole shifts what the hours say, which a relaxation can't see."""
    count = 0
    for one in sorted(minutes):
        left -= one
        if left < 0:
            break
        count += 1
    return count


def _apart(net: Network) -> None:
    index = {person.id: place for place, person in enumerate(net.people)}
    pairs = {
        (min(place, index[other]), max(place, index[other]))
        for place, person in enumerate(net.people)
        for other in person.apart
        if other in index
    }
    if not pairs:
        return
    by = defaultdict(list)
    for number, arc in enumerate(net.arcs):
        by[arc.person, net.groups[arc.group].clinic].append(number)
    for one, other in pairs:
        for clinic in {group.clinic for group in net.groups}:
            both = (*by.get((one, clinic), ()), *by.get((other, clinic), ()))
            if by.get((one, clinic)) and by.get((other, clinic)):
                net.limits.append(Limit(both, (1,) * len(both), 1))


def _first(net: Network, arc: int) -> Position:
    return net.groups[net.arcs[arc].group].positions[0]


def _cliques(net: Network, arcs: list[int], options: Options) -> list[list[int]]:
    """Sets of one person's arcs of which at most one can hold, that together say all that can't be together."""
    rows = sorted(arcs, key=lambda arc: _first(net, arc).starts)
    near: dict[int, set[int]] = defaultdict(set)
    for place, one in enumerate(rows):
        first = _first(net, one)
        for other in rows[place + 1 :]:
            second = _first(net, other)
            if (second.starts - first.ends).total_seconds() > 12 * 3600:
                break
            if first.clinic == second.clinic or not reachable(first, second, options):
                near[one].add(other)
                near[other].add(one)
    found: list[list[int]] = []
    told: set[tuple[int, int]] = set()
    for one in rows:
        clique = [one]
        for other in rows:
            if other in near[one] and all(other in near[known] for known in clique):
                clique.append(other)
        if len(clique) > 1 and any(pair not in told for pair in combinations(sorted(clique), 2)):
            found.append(clique)
            told |= set(combinations(sorted(clique), 2))
    # Pairs that no clique above holds: a drive too long between two that a third comes between.
    for one, others in near.items():
        for other in others:
            if one < other and (one, other) not in told:
                found.append([one, other])
    return found
