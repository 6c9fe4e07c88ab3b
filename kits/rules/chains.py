"""Chains of tasks over time for vehicles at depots: as many tasks as can be at the least cost, and the fewest chains.

One depot, or ends that cost the same for all: a minimum-cost flow. Several: CP-SAT over one flow for each depot.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from core.rules.refused import Refused

__all__ = ["best_chains", "fewest_chains"]


def best_chains(
    starts: Sequence[Sequence[int | None]],
    links: Sequence[Sequence[int | None]],
    ends: Sequence[Sequence[int | None]],
    most: Sequence[int],
    *,
    seconds: float = 60,
) -> list[list[list[int]]]:
    """Find the chains of tasks that serve the most tasks at the least cost.

    ``starts[d][i]``: from depot d to task i; ``links[i][j]``: from task i to task j; ``ends[d][i]``: from task i back
    to depot d; ``most[d]``: vehicles there. Costs are whole and 0 or more; None where one can't follow the other.
    Returns for each depot its chains, each a list of tasks in order. Links must follow time: no task may come after
    itself.
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
        raise Refused.because("no time")
    firsts = [pair for pair, variable in first.items() if solver.boolean_value(variable)]
    follows = {task: other for (_, task, other), variable in follow.items() if solver.boolean_value(variable)}
    return firsts, follows


def fewest_chains(links: Sequence[Sequence[int | None]]) -> int:
    """Count the fewest chains that hold all tasks: the tasks less the largest matching of a task with a later one.

    (Dilworth and Fulkerson 1956, from memory.)
    """
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
