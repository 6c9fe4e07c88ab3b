"""Which kit goes to which clinic, every trip between, the least total distance, and how many kits would be enough.

Exact: chains of clinics, one for each kit, are a minimum-cost flow over time when it does not matter where a kit ends
up, or when all return to one store (Ahuja, Magnanti and Orlin, Network Flows, 1993, chapter 9, from memory). Kits that
each return to a store of their own make it the multi-depot vehicle scheduling problem, solved with CP-SAT.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

__all__ = ["Demand", "Kit", "MovePlan", "Trip", "best_chains", "interval_depth", "plan_moves"]

# Whatever the caller knows places by: a number, a name, a point; it must be hashable.
Place = Any


@dataclass(frozen=True, slots=True)
class Demand:
    """A clinic that needs a kit of a kind, there and whole from ``starts`` to ``ends``."""

    id: int
    place: Place
    starts: datetime
    ends: datetime
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Kit:
    """A kit: where it is, from when it is free, the store it comes back to (None: it stays where it was last)."""

    id: int
    place: Place
    free_from: datetime | None = None
    home: Place | None = None
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Trip:
    """One way of one kit. ``to`` is the clinic it is for, None for the way home."""

    kit: int
    from_place: Place
    to_place: Place
    km: float
    to: int | None
    not_before: datetime | None
    not_after: datetime | None


@dataclass(frozen=True)
class MovePlan:
    """``kits_enough``: the fewest kits that would do for all demands, by kind and in all."""

    served: dict[int, int]
    unserved: list[int]
    trips: list[Trip]
    total_km: float
    kits_enough: int
    enough_by_kind: dict[str, int] = field(default_factory=dict)


def plan_moves(
    demands: Sequence[Demand],
    kits: Sequence[Kit],
    km: Callable[[Any, Any], float],
    *,
    packing_minutes: float = 30,
    km_per_hour: float = 45,
) -> MovePlan:
    """Serve as many demands as can be, then drive the least. ``km(here, there)`` is the way by road.

    A kit needs ``packing_minutes`` after a clinic and the drive before it is anywhere else. Raises ValueError for a
    demand that ends before it starts, ids that stand twice, and a way below 0.
    """
    for name, ids in (("clinic", [d.id for d in demands]), ("kit", [k.id for k in kits])):
        if len(set(ids)) < len(ids):
            raise ValueError(f"A {name} is there twice. Give each once.")
    for one in demands:
        if one.ends <= one.starts:
            raise ValueError(f"Clinic {one.id} ends before it starts. Check both times.")
    if packing_minutes < 0 or km_per_hour <= 0:
        raise ValueError("Packing takes 0 minutes or more, and a speed is above 0.")
    pack = timedelta(minutes=packing_minutes)

    def way(here: Place, there: Place) -> float:
        length = km(here, there)
        if length < 0:
            raise ValueError(f"The way from {here} to {there} can't be {length} km.")
        return length

    def ready(free: datetime | None, here: Place, there: Place, at: datetime) -> bool:
        return free is None or free + timedelta(hours=way(here, there) / km_per_hour) <= at

    served: dict[int, int] = {}
    trips: list[Trip] = []
    enough: dict[str, int] = {}
    for kind in sorted({d.kind for d in demands}):
        wanted = sorted((d for d in demands if d.kind == kind), key=lambda d: (d.starts, d.id))
        own = [k for k in kits if k.kind == kind]
        links: list[list[int | None]] = [
            [
                _meters(way(a.place, b.place))
                if a is not b and ready(a.ends + pack, a.place, b.place, b.starts)
                else None
                for b in wanted
            ]
            for a in wanted
        ]
        enough[kind] = _fewest_chains(links)
        starts = [
            [_meters(way(k.place, d.place)) if ready(k.free_from, k.place, d.place, d.starts) else None for d in wanted]
            for k in own
        ]
        ends = [[0 if k.home is None else _meters(way(d.place, k.home)) for d in wanted] for k in own]
        chains = best_chains(starts, links, ends, [1] * len(own))
        for kit, chain in zip(own, chains, strict=True):
            trips += _trips(kit, [wanted[number] for number in chain[0]] if chain else [], way, pack)
            served |= {wanted[number].id: kit.id for number in (chain[0] if chain else [])}
    return MovePlan(
        served=served,
        unserved=[d.id for d in demands if d.id not in served],
        trips=sorted(trips, key=lambda trip: (trip.not_after is None, trip.not_after or trip.not_before, trip.kit)),
        total_km=sum(trip.km for trip in trips),
        kits_enough=sum(enough.values()),
        enough_by_kind=enough,
    )


def _trips(kit: Kit, chain: list[Demand], way: Callable[[Place, Place], float], pack: timedelta) -> list[Trip]:
    found = []
    here, free = kit.place, kit.free_from
    for one in chain:
        if one.place != here:
            found.append(Trip(kit.id, here, one.place, way(here, one.place), one.id, free, one.starts))
        here, free = one.place, one.ends + pack
    if chain and kit.home is not None and here != kit.home:
        found.append(Trip(kit.id, here, kit.home, way(here, kit.home), None, free, None))
    return found


def _meters(km: float) -> int:
    return round(km * 1000)


def best_chains(
    starts: Sequence[Sequence[int | None]],
    links: Sequence[Sequence[int | None]],
    ends: Sequence[Sequence[int | None]],
    most: Sequence[int],
    *,
    seconds: float = 60,
) -> list[list[list[int]]]:
    """Chains of tasks that serve as many as can be at the least cost; None where one can't follow the other.

    ``starts[d][i]``: from depot d to task i; ``links[i][j]``: from task i to task j; ``ends[d][i]``: from task i back
    to depot d; ``most[d]``: vehicles there. Costs are whole and 0 or more. Returns for each depot its chains, each a
    list of tasks in order. Links must follow time: no task may come after itself.
    """
    same_ends = all(list(row) == list(ends[0]) for row in ends)
    next_of = _flow(starts, links, ends, most) if same_ends else _depots(starts, links, ends, most, seconds)
    firsts, follows = next_of
    chains: list[list[list[int]]] = [[] for _ in most]
    for depot, task in firsts:
        chain = [task]
        while chain[-1] in follows:
            chain.append(follows[chain[-1]])
        chains[depot].append(chain)
    return chains


Links = tuple[list[tuple[int, int]], dict[int, int]]


def _penalty(*tables: Sequence[Sequence[int | None]]) -> int:
    """More than any plan can cost, so that serving one more always comes first."""
    dearest = max((cost or 0 for table in tables for row in table for cost in row), default=0)
    return (len(tables[1]) + 2) * 3 * (dearest + 1)


def _flow(
    starts: Sequence[Sequence[int | None]],
    links: Sequence[Sequence[int | None]],
    ends: Sequence[Sequence[int | None]],
    most: Sequence[int],
) -> Links:
    from ortools.graph.python import min_cost_flow

    tasks, depots = len(links), len(most)
    solver = min_cost_flow.SimpleMinCostFlow()
    source, sink = 0, 1

    def into(task: int) -> int:
        return 2 + depots + 2 * task

    big = _penalty(starts, links, ends)
    told: dict[int, tuple[str, int, int]] = {}
    for depot, count in enumerate(most):
        solver.add_arc_with_capacity_and_unit_cost(source, 2 + depot, count, 0)
        solver.add_arc_with_capacity_and_unit_cost(2 + depot, sink, count, 0)
        for task, cost in enumerate(starts[depot]):
            if cost is not None:
                told[solver.add_arc_with_capacity_and_unit_cost(2 + depot, into(task), 1, cost)] = (
                    "first",
                    depot,
                    task,
                )
    for task in range(tasks):
        solver.add_arc_with_capacity_and_unit_cost(into(task), into(task) + 1, 1, -big)
        back = ends[0][task] if depots else None
        if back is not None:
            solver.add_arc_with_capacity_and_unit_cost(into(task) + 1, sink, 1, back)
        for other, cost in enumerate(links[task]):
            if cost is not None:
                arc = solver.add_arc_with_capacity_and_unit_cost(into(task) + 1, into(other), 1, cost)
                told[arc] = ("next", task, other)
    solver.set_node_supply(source, sum(most))
    solver.set_node_supply(sink, -sum(most))
    if sum(most) and solver.solve() != solver.OPTIMAL:
        raise RuntimeError("The plan of moves could not be solved.")
    firsts, follows = [], {}
    for arc, (what, one, other) in told.items():
        if sum(most) and solver.flow(arc):
            if what == "first":
                firsts.append((one, other))
            else:
                follows[one] = other
    return firsts, follows


def _depots(
    starts: Sequence[Sequence[int | None]],
    links: Sequence[Sequence[int | None]],
    ends: Sequence[Sequence[int | None]],
    most: Sequence[int],
    seconds: float,
) -> Links:
    """Each vehicle comes back to its own depot: one flow for each depot, joined by the tasks."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    tasks, big = range(len(links)), _penalty(starts, links, ends)
    first: dict[tuple[int, int], Any] = {}
    follow: dict[tuple[int, int, int], Any] = {}
    last: dict[tuple[int, int], Any] = {}
    costs: list[Any] = []
    for depot in range(len(most)):
        for task in tasks:
            start, back = starts[depot][task], ends[depot][task]
            if start is not None:
                first[depot, task] = model.new_bool_var("")
                costs.append(start * first[depot, task])
            if back is not None:
                last[depot, task] = model.new_bool_var("")
                costs.append(back * last[depot, task])
            for other, cost in enumerate(links[task]):
                if cost is not None:
                    follow[depot, task, other] = model.new_bool_var("")
                    costs.append(cost * follow[depot, task, other])
        model.add(sum(v for (d, _), v in first.items() if d == depot) <= most[depot])
    came: dict[tuple[int, int], list[Any]] = {}
    went: dict[tuple[int, int], list[Any]] = {}
    for (depot, task), variable in first.items():
        came.setdefault((depot, task), []).append(variable)
    for (depot, task), variable in last.items():
        went.setdefault((depot, task), []).append(variable)
    for (depot, task, other), variable in follow.items():
        went.setdefault((depot, task), []).append(variable)
        came.setdefault((depot, other), []).append(variable)
    served = []
    for task in tasks:
        arrivals = []
        for depot in range(len(most)):
            arriving, leaving = came.get((depot, task), []), went.get((depot, task), [])
            model.add(sum(arriving) == sum(leaving))
            arrivals += arriving
        model.add(sum(arrivals) <= 1)
        served += arrivals
    model.minimize(sum(costs) - big * sum(served))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    if solver.solve(model) != cp_model.OPTIMAL:
        raise ValueError("The best moves were not found in time. Choose fewer days.")
    firsts = [pair for pair, variable in first.items() if solver.boolean_value(variable)]
    follows = {task: other for (_, task, other), variable in follow.items() if solver.boolean_value(variable)}
    return firsts, follows


def _fewest_chains(links: Sequence[Sequence[int | None]]) -> int:
    """Tasks less the largest matching of a task with one that follows it (Dilworth and Fulkerson 1956, from memory)."""
    follower: dict[int, int] = {}

    def find(task: int, tried: set[int]) -> bool:
        for other, cost in enumerate(links[task]):
            if cost is None or other in tried:
                continue
            tried.add(other)
            if other not in follower or find(follower[other], tried):
                follower[other] = task
                return True
        return False

    return len(links) - sum(find(task, set()) for task in range(len(links)))


def interval_depth(spans: Sequence[tuple[datetime, datetime]]) -> int:
    """The most spans that hold at one moment; one that ends as another begins does not meet it."""
    edges = sorted([(starts, 1) for starts, _ in spans] + [(ends, -1) for _, ends in spans])
    depth = deepest = 0
    for _, step in edges:
        depth += step
        deepest = max(deepest, depth)
    return deepest
