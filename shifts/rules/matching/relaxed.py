"""The linear relaxation of one stage: a bound that no plan can beat, and per pair what taking it would cost at least.

Reduced-cost fixing: a plan of value v uses no pair whose reduced cost exceeds v minus the bound (linear programming
duality; Nemhauser and Wolsey, Integer and Combinatorial Optimization, 1988, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from shifts.rules.matching.network import Network
from shifts.rules.matching.stages import Stage

__all__ = ["Kept", "Relaxed", "relax"]


@dataclass(frozen=True)
class Kept:
    """A stage that is done: its value may not get worse."""

    stage: Stage
    value: int


@dataclass(frozen=True)
class Relaxed:
    """``bound`` is rounded up to a whole number; ``reduced`` by arc, 0 or more; ``likely``: arcs taken by more than
    half in the relaxation."""

    bound: int
    exact: float
    reduced: dict[int, float]
    likely: list[int]


def relax(net: Network, stage: Stage, kept: list[Kept], arcs: list[int]) -> Relaxed | None:
    """Solve the relaxation over ``arcs`` with GLOP. None when it can't be solved."""
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    objective = solver.Objective()
    objective.SetMinimization()
    fill = [solver.Constraint(group.demand, group.demand) for group in net.groups]
    bounds = [solver.Constraint(-infinity, one.value - one.stage.constant) for one in kept]
    taken = {arc: solver.NumVar(0, 1, "") for arc in arcs}
    opened = [solver.NumVar(0, group.demand, "") for group in net.groups]
    wanted = set(arcs)
    for number, variable in enumerate(opened):
        fill[number].SetCoefficient(variable, 1)
    for arc, variable in taken.items():
        fill[net.arcs[arc].group].SetCoefficient(variable, 1)
    for limit in net.limits:
        pairs = [(arc, weight) for arc, weight in zip(limit.arcs, limit.weights, strict=True) if arc in wanted]
        if sum(weight for _, weight in pairs) > limit.most:
            row = solver.Constraint(-infinity, limit.most)
            for arc, weight in pairs:
                row.SetCoefficient(taken[arc], weight)
    below = {}
    if stage.below or any(one.stage.below for one in kept):
        for clinic, missing in net.short.items():
            below[clinic] = solver.NumVar(0, 1, "")
            row = solver.Constraint(missing, infinity)
            row.SetCoefficient(below[clinic], missing)
            for arc, variable in taken.items():
                group = net.groups[net.arcs[arc].group]
                if group.clinic == clinic and group.in_ratio:
                    row.SetCoefficient(variable, 1)
    steps = []
    if stage.squares or any(one.stage.squares for one in kept):
        by_person: dict[int, list[int]] = {}
        for arc in arcs:
            by_person.setdefault(net.arcs[arc].person, []).append(arc)
        for person, mine in by_person.items():
            row = solver.Constraint(0, 0)
            for arc in mine:
                row.SetCoefficient(taken[arc], 1)
            for step in range(len(mine)):
                variable = solver.NumVar(0, 1, "")
                row.SetCoefficient(variable, -1)
                steps.append((variable, 2 * (net.base[person] + step) + 1))
    squared = sum(count * count for count in net.base)

    for one, row in [(stage, objective), *((k.stage, r) for k, r in zip(kept, bounds, strict=True))]:
        for arc, cost in one.arcs.items():
            if arc in wanted:
                row.SetCoefficient(taken[arc], cost)
        for number, cost in one.opened.items():
            row.SetCoefficient(opened[number], cost)
        if one.below:
            for variable in below.values():
                row.SetCoefficient(variable, one.below)
        if one.squares:
            for variable, cost in steps:
                row.SetCoefficient(variable, cost)
    for earlier, row in zip(kept, bounds, strict=True):
        if earlier.stage.squares:
            row.SetUb(earlier.value - earlier.stage.constant - squared)
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    exact = objective.Value() + stage.constant + (squared if stage.squares else 0)
    return Relaxed(
        bound=ceil(exact - 1e-5),
        exact=exact,
        reduced={arc: max(0.0, variable.reduced_cost()) for arc, variable in taken.items()},
        likely=sorted(
            (arc for arc, variable in taken.items() if variable.solution_value() > 0.5),
            key=lambda arc: -taken[arc].solution_value(),
        ),
    )
