"""A plan by taking, position for position, whoever is nearest: what every better plan is measured against."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from shifts.rules.matching.network import Network

__all__ = ["greedy", "holds"]


def greedy(net: Network, first: Iterable[int] = ()) -> set[int]:
    """Choose arcs one by one and take nothing back; every limit holds.

    Takes those in ``first``, then people asked today, then the nearest person for each group, urgent and scarce groups
    before others.
    """
    of_group = net.of_group
    used = [0] * len(net.limits)
    rows: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for number, limit in enumerate(net.limits):
        for arc, weight in zip(limit.arcs, limit.weights, strict=True):
            rows[arc].append((number, weight))
    left = [group.demand for group in net.groups]
    chosen: set[int] = set()

    def take(arc: int) -> None:
        group = net.arcs[arc].group
        if arc in chosen or not left[group]:
            return
        if all(used[number] + weight <= net.limits[number].most for number, weight in rows[arc]):
            for number, weight in rows[arc]:
                used[number] += weight
            left[group] -= 1
            chosen.add(arc)

    for arc in first:
        take(arc)
    for place, one in enumerate(net.arcs):
        if one.today:
            take(place)
    order = sorted(
        range(len(net.groups)), key=lambda n: (-net.groups[n].weight, len(of_group[n]) - net.groups[n].demand, n)
    )
    for number in order:
        for arc in sorted(of_group[number], key=lambda a: (net.arcs[a].km, net.base[net.arcs[a].person], a)):
            take(arc)
    return chosen


def holds(net: Network, chosen: set[int]) -> bool:
    """Whether the choice keeps every limit and fills no group beyond its demand."""
    left = [group.demand for group in net.groups]
    for arc in chosen:
        left[net.arcs[arc].group] -= 1
    if min(left, default=0) < 0:
        return False
    return all(
        sum(weight for arc, weight in zip(limit.arcs, limit.weights, strict=True) if arc in chosen) <= limit.most
        for limit in net.limits
    )
