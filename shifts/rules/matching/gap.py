"""The core of matching by itself: the generalised assignment problem, solved to proven optimality."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shifts.rules.matching.exact import run, searcher

__all__ = ["Assignment", "assign"]

Status = Literal["optimal", "feasible", "infeasible", "unknown"]


@dataclass(frozen=True, slots=True)
class Assignment:
    """``choice``: the column of each row, None where nothing was found. ``bound``: no choice costs less, proven."""

    choice: list[int | None]
    cost: int
    bound: int
    status: Status


def assign(
    cost: Sequence[Sequence[int | None]],
    load: Sequence[Sequence[int]],
    limit: Sequence[int],
    *,
    seconds: float = 20,
    workers: int = 2,
    seed: int = 0,
) -> Assignment:
    """Give every row exactly one column at the least total cost, each column's load within its limit.

    Rows are positions, columns volunteers; a cost of None is not allowed. Raises ValueError for tables whose shapes
    differ, for negative loads or limits, and for a search of no time or no workers.
    """
    from ortools.sat.python import cp_model

    rows, columns = len(cost), len(limit)
    if len(load) != rows or any(len(line) != columns for line in (*cost, *load)):
        raise ValueError(f"Cost and load need {rows} rows of {columns} columns, one for each limit.")
    if any(one < 0 for line in load for one in line) or any(one < 0 for one in limit):
        raise ValueError("A load or limit is below 0. Give 0 or more.")
    if not seconds > 0 or workers < 1:
        raise ValueError("Give the search more than 0 seconds and at least one worker.")
    model = cp_model.CpModel()
    taken = {
        (row, column): model.new_bool_var("")
        for row, line in enumerate(cost)
        for column, one in enumerate(line)
        if one is not None
    }
    for row in range(rows):
        mine = [taken[row, column] for column in range(columns) if (row, column) in taken]
        if not mine:
            return Assignment([None] * rows, 0, 0, "infeasible")
        model.add_exactly_one(mine)
    for column in range(columns):
        model.add(
            sum(load[row][column] * taken[row, column] for row in range(rows) if (row, column) in taken)
            <= limit[column]
        )
    model.minimize(sum((cost[row][column] or 0) * variable for (row, column), variable in taken.items()))
    solver = searcher(seconds, workers, seed)
    status, _ = run(solver, model, lambda: True)
    if status == cp_model.INFEASIBLE:
        return Assignment([None] * rows, 0, 0, "infeasible")
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Assignment([None] * rows, 0, round(solver.best_objective_bound), "unknown")
    choice: list[int | None] = [None] * rows
    for (row, column), variable in taken.items():
        if solver.boolean_value(variable):
            choice[row] = column
    value, bound = round(solver.objective_value), round(solver.best_objective_bound)
    return Assignment(choice, value, bound, "optimal" if status == cp_model.OPTIMAL else "feasible")
