"""One stage solved in whole numbers with CP-SAT, the earlier stages' values kept."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from shifts.rules.matching.network import Network, least_open
from shifts.rules.matching.relaxed import Kept
from shifts.rules.matching.stages import Stage

__all__ = ["Found", "improve", "run", "searcher"]

LOOK_SECONDS = 0.25


@dataclass(frozen=True)
class Found:
    """``chosen``: the best arcs found, None when none were. ``bound`` is proven over the arcs that were given."""

    chosen: set[int] | None
    bound: int
    proven: bool
    stopped: bool = False


def improve(
    net: Network,
    stage: Stage,
    kept: list[Kept],
    arcs: list[int],
    hint: set[int],
    *,
    bound: int,
    seconds: float,
    workers: int,
    seed: int,
    keep_on: Callable[[], bool],
) -> Found:
    """Find the best choice among ``arcs`` for a stage, no worse than ``kept`` in the stages before.

    The search begins from ``hint``. No choice is better than ``bound``, as far as is known already. It stops after
    ``seconds``, or when ``keep_on`` says False.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    taken = {arc: model.new_bool_var("") for arc in arcs}
    by_group: dict[int, list[int]] = {}
    for arc in arcs:
        by_group.setdefault(net.arcs[arc].group, []).append(arc)
    must = _must_fill(net, kept)
    for number, group in enumerate(net.groups):
        mine = [taken[arc] for arc in by_group.get(number, ())]
        if must:
            model.add(sum(mine) == group.demand - must[number])
        elif group.demand == 1:
            model.add_at_most_one(mine)
        else:
            model.add(sum(mine) <= group.demand)
    for limit in net.limits:
        pairs = [(arc, weight) for arc, weight in zip(limit.arcs, limit.weights, strict=True) if arc in taken]
        if sum(weight for _, weight in pairs) <= limit.most:
            continue
        if limit.most == 1 and all(weight == 1 for _, weight in pairs):
            model.add_at_most_one(taken[arc] for arc, _ in pairs)
        else:
            model.add(sum(weight * taken[arc] for arc, weight in pairs) <= limit.most)
    below = _below(model, net, taken) if stage.below or any(one.stage.below for one in kept) else {}
    steps: list[tuple[Any, int]] = []
    if stage.squares or any(one.stage.squares for one in kept):
        steps = _steps(model, net, taken)
    squared = sum(count * count for count in net.base)

    def total(one: Stage) -> Any:
        terms = [cost * taken[arc] for arc, cost in one.arcs.items() if arc in taken]
        terms += [-one.opened[net.arcs[arc].group] * variable for arc, variable in taken.items() if one.opened]
        if one.below:
            terms += [one.below * variable for variable in below.values()]
        if one.squares:
            terms += [cost * variable for variable, cost in steps]
        everything = sum(cost * net.groups[number].demand for number, cost in one.opened.items())
        return sum(terms) + one.constant + everything + (squared if one.squares else 0)

    for one in kept:
        if not (one.stage.opened and must):
            model.add(total(one.stage) <= one.value)
    model.minimize(total(stage))
    for arc, variable in taken.items():
        model.add_hint(variable, arc in hint)
    solver = searcher(seconds, workers, seed)
    status, stopped = run(solver, model, keep_on, bound)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(None, bound, status == cp_model.INFEASIBLE, stopped)
    chosen = {arc for arc, variable in taken.items() if solver.boolean_value(variable)}
    return Found(chosen, max(bound, round(solver.best_objective_bound)), status == cp_model.OPTIMAL, stopped)


def searcher(seconds: float, workers: int, seed: int) -> Any:
    """Make a CP-SAT solver that leans on linear programming, to which these problems are close.

    One worker always gives the same answer.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    solver.parameters.linearization_level = 2
    if 1 < workers < 8:
        # Of the searches that share the work, those that reason with the whole relaxation come first.
        solver.parameters.subsolvers.extend(("max_lp", "reduced_costs", "pseudo_costs", "quick_restart"))
    return solver


def run(solver: Any, model: Any, keep_on: Callable[[], bool], enough: int | None = None) -> tuple[Any, bool]:
    """Solve the model in a thread, and ask ``keep_on`` meanwhile whether to go on.

    A value of ``enough`` ends the search, since nothing better is possible.
    """
    from ortools.sat.python import cp_model

    class Enough(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            if enough is not None and self.objective_value <= enough + 1e-6:
                self.stop_search()

    answer: list[Any] = []
    worker = threading.Thread(target=lambda: answer.append(solver.solve(model, Enough())), daemon=True)
    worker.start()
    stopped = False
    while worker.is_alive():
        worker.join(LOOK_SECONDS)
        if worker.is_alive() and not stopped and not keep_on():
            solver.stop_search()
            stopped = True
    if not answer:
        raise RuntimeError("The search ended without an answer.")
    return answer[0], stopped


def _must_fill(net: Network, kept: list[Kept]) -> dict[int, int]:
    """How many places of each group stay open in every plan, once the fewest possible are; else nothing is known."""
    for one in kept:
        if one.stage.opened:
            least = least_open(net)
            if sum(one.stage.opened[number] * count for number, count in least.items()) == one.value:
                return least
    return {}


def _below(model: Any, net: Network, taken: dict[int, Any]) -> dict[int, Any]:
    adults: dict[int, list[Any]] = {clinic: [] for clinic in net.short}
    for arc, variable in taken.items():
        group = net.groups[net.arcs[arc].group]
        if group.in_ratio and group.clinic in adults:
            adults[group.clinic].append(variable)
    found = {}
    for clinic, missing in net.short.items():
        found[clinic] = model.new_bool_var("")
        model.add(sum(adults[clinic]) + missing * found[clinic] >= missing)
    return found


def _steps(model: Any, net: Network, taken: dict[int, Any]) -> list[tuple[Any, int]]:
    """One more shift costs 2n + 1 for whoever has n: the sum of squares, step by step."""
    mine: dict[int, list[Any]] = {}
    for arc, variable in taken.items():
        mine.setdefault(net.arcs[arc].person, []).append(variable)
    steps = []
    for person, variables in mine.items():
        stairs = [model.new_bool_var("") for _ in variables]
        model.add(sum(variables) == sum(stairs))
        for lower, upper in pairwise(stairs):
            model.add_implication(upper, lower)
        steps += [(stair, 2 * (net.base[person] + number) + 1) for number, stair in enumerate(stairs)]
    return steps
