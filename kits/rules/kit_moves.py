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

from kits.rules.chains import best_chains, fewest_chains

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
    """Serve as many demands as can be, then drive as little as can be. ``km(here, there)`` is the way by road.

    A kit needs ``packing_minutes`` after a clinic, and then the drive, before it is anywhere else. Raises ValueError
    for a demand that ends before it starts, ids that stand twice, and a way below 0.
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
        enough[kind] = fewest_chains(links)
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


def interval_depth(spans: Sequence[tuple[datetime, datetime]]) -> int:
    """Count the most spans that hold at one moment. A span that ends as another begins does not meet it."""
    edges = sorted([(starts, 1) for starts, _ in spans] + [(ends, -1) for _, ends in spans])
    depth = deepest = 0
    for _, step in edges:
        depth += step
        deepest = max(deepest, depth)
    return deepest
