"""Bounds from who shares which station with whom, whenever that is: the slots added up, so far fewer questions.

Every plan is one answer here: each group has each of its stations in one set of groups, and hoops, balls, tables,
sockets and adults of all sets together are no more than all slots have. So what is best here is a bound for every plan,
and often one that a plan reaches.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

from runsheets.rules.activities import Activity
from runsheets.rules.rotation.active import active_seconds, balls_needed
from runsheets.rules.rotation.cyclic import adults_at
from runsheets.rules.rotation.facts import Group, Request

__all__ = ["MOST_SETS", "least_uneven", "most_shared", "sets_of"]

MOST_SETS = 64  # sets of groups at one station; beyond, how many are there is reckoned instead
EFFORT = 0.3  # work after which a bound is taken as it stands, about seconds


def sets_of(one: Activity, groups: list[Group]) -> list[list[int]] | None:
    """List the sets of groups that may be at the station at once, as places in ``groups``; None for too many sets."""
    some: list[list[int]] = []
    for place, group in enumerate(groups):
        some += [
            [*them, place]
            for them in [[], *some]
            if sum(groups[n].children for n in them) + group.children <= one.group_size
        ]
        if len(some) > MOST_SETS:
            return None
    return some


def most_shared(request: Request, rotations: int, length: int) -> int | None:
    """A number of active child seconds at the stations that no plan is above.

    -1 when there is no plan, None when nothing is known.
    """
    sharing = _build(request, rotations, length)
    if sharing is None:
        return None
    sharing.model.maximize(sharing.gained(request))
    status, bound = _bound(sharing.model)
    return -1 if status == "infeasible" else int((bound + 1e-6) // 1)


def least_uneven(request: Request, rotations: int, length: int, gained: int) -> int:
    """How much groups differ at least, in seconds active per child, in a plan with ``gained`` active child seconds."""
    sharing = _build(request, rotations, length)
    if sharing is None:
        return 0
    model = sharing.model
    model.add(sharing.gained(request) >= gained)
    top = 60 * length * max(1, rotations)
    most, fewest = model.new_int_var(0, top, ""), model.new_int_var(0, top, "")
    for terms in sharing.seconds:
        model.add(most >= sum(terms))
        model.add(fewest <= sum(terms))
    model.minimize(most - fewest)
    status, bound = _bound(model)
    return 0 if status == "infeasible" else max(0, -int(-(bound - 1e-6) // 1))


@dataclass
class _Sharing:
    model: Any
    seconds: list[list[Any]]  # of each group, per child
    visits: list[list[Any]]
    needs: dict[str, list[Any]] = field(default_factory=dict)

    def gained(self, request: Request) -> Any:
        return sum(group.children * sum(terms) for group, terms in zip(request.groups, self.seconds, strict=True))


def _build(request: Request, rotations: int, length: int) -> _Sharing | None:
    from ortools.sat.python import cp_model

    groups, floor = request.groups, request.floor
    model = cp_model.CpModel()
    sharing = _Sharing(model, [[] for _ in groups], [[] for _ in groups])
    for one in request.stations:
        suits = one.least_minutes <= length <= one.most_minutes
        due = {number for number, group in enumerate(groups) if one in request.due(group)}
        free = {number for number, group in enumerate(groups) if suits and one in request.open_to(group)}
        here = sorted(due | free)
        sets = sets_of(one, [groups[number] for number in here])
        if sets is None:
            return None
        chosen = [model.new_bool_var("") for _ in sets]
        if chosen:
            model.add(sum(chosen) <= rotations)
        for place, number in enumerate(here):
            mine = [variable for them, variable in zip(sets, chosen, strict=True) if place in them]
            (model.add_exactly_one if number in due else model.add_at_most_one)(mine)
            sharing.visits[number] += mine
        for them, variable in zip(sets, chosen, strict=True):
            children = sum(groups[here[place]].children for place in them)
            for place in them:
                sharing.seconds[here[place]].append(active_seconds(one, children, length) * variable)
            for what, amount in (
                ("hoops", one.hoops),
                ("balls", balls_needed(one, children)),
                ("tables", one.tables),
                ("sockets", one.sockets),
                ("adults", adults_at(request, one, [groups[here[place]] for place in them])),
                *((f"skill:{name}", 1) for name in _skills(request) if one.skill in name),
            ):
                sharing.needs.setdefault(str(what), []).append(amount * variable)
    for terms in sharing.visits:
        model.add(sum(terms) <= rotations)
    limits = {
        "hoops": floor.hoops,
        "balls": floor.balls,
        "tables": floor.tables,
        "sockets": floor.sockets,
        "adults": len(request.adults),
    } | {
        f"skill:{names}": sum(any(adult.can(skill) for skill in names) for adult in request.adults)
        for names in _skills(request)
    }
    for what, limit in limits.items():
        if limit is not None and what in sharing.needs:
            model.add(sum(sharing.needs[what]) <= limit * rotations)
    return sharing


def _skills(request: Request) -> list[tuple[str, ...]]:
    """Every set of skills that stations ask for: an adult who has one leads one station at a time."""
    asked = sorted({one.skill for one in request.stations} - {""})
    return [some for size in range(1, len(asked) + 1) for some in combinations(asked, size)]


def _bound(model: Any) -> tuple[str, float]:
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = EFFORT
    solver.parameters.linearization_level = 2
    status = solver.solve(model)
    return ("infeasible" if status == cp_model.INFEASIBLE else ""), solver.best_objective_bound
