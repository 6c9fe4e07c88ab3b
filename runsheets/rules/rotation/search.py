"""Which group is where in which slot, for one timeline: CP-SAT, one aim after the other, each kept for the next.

OR-tools is imported when a search begins, never before.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from itertools import combinations
from typing import Any, Literal

from runsheets.rules.activities import Activity
from runsheets.rules.rotation.active import active_seconds, balls_needed
from runsheets.rules.rotation.cyclic import Visits, adults_at
from runsheets.rules.rotation.facts import Group, Request
from runsheets.rules.rotation.sharing import sets_of
from runsheets.rules.rotation.walks import choose_walk, count_steps, short_walks

__all__ = ["Answer", "Search"]

Found = Literal["optimal", "feasible", "infeasible", "unknown"]


@dataclass(frozen=True, slots=True)
class Answer:
    """``value`` and ``bound`` of the aim that was searched, lower is better; 0 when only a plan was asked for."""

    status: Found
    visits: Visits | None = None
    value: int = 0
    bound: int = 0


class Search:
    """The slots of one timeline. Ask ``any_plan`` first, or the aims in their order: active, uneven, steps."""

    def __init__(self, request: Request, rotations: int, length: int, *, deadline: float, seed: int) -> None:
        from ortools.sat.python import cp_model

        self.request, self.rotations, self.length = request, rotations, length
        self.deadline, self.seed = deadline, seed
        self.model: Any = cp_model.CpModel()
        self.slots = range(rotations)
        self.groups = list(enumerate(request.groups))
        self.at: dict[tuple[int, int, str], Any] = {}
        self.waits: dict[tuple[int, int], Any] = {}
        self.by_code = {one.code: one for one in request.stations}
        self.sets: dict[tuple[int, str], list[tuple[list[Group], Any]]] = {}
        self._visits()
        for slot in self.slots:
            self._slot(slot)
        self.hint: Visits | None = None
        self.seconds_active: dict[int, Any] | None = None
        self.difference: Any = None

    def _visits(self) -> None:
        model = self.model
        for number, group in self.groups:
            due, free = self.request.due(group), self.request.open_to(group)
            # A station that the slots of this length do not suit can't fill one.
            free = tuple(one for one in free if one.least_minutes <= self.length <= one.most_minutes)
            for slot in self.slots:
                for one in (*due, *free):
                    self.at[number, slot, one.code] = model.new_bool_var("")
                self.waits[number, slot] = model.new_bool_var("")
                model.add_exactly_one(
                    [self.at[number, slot, one.code] for one in (*due, *free)] + [self.waits[number, slot]]
                )
            for one in due:
                model.add_exactly_one(self.at[number, slot, one.code] for slot in self.slots)
            for one in free:
                model.add_at_most_one(self.at[number, slot, one.code] for slot in self.slots)

    def _here(self, slot: int, code: str) -> list[tuple[Group, Any]]:
        return [
            (group, self.at[number, slot, code]) for number, group in self.groups if (number, slot, code) in self.at
        ]

    def _slot(self, slot: int) -> None:
        model, request, floor = self.model, self.request, self.request.floor
        used: dict[str, Any] = {}
        balls, adults = [], []
        for code, one in self.by_code.items():
            here = self._here(slot, code)
            if not here:
                continue
            used[code] = model.new_bool_var("")
            if self._together(slot, one, used[code]):
                some = self.sets[slot, code]
                balls += [balls_needed(one, sum(g.children for g in them)) * v for them, v in some]
                adults.append(sum(adults_at(request, one, them) * variable for them, variable in some))
                continue
            model.add_max_equality(used[code], [variable for _, variable in here])
            if sum(group.children for group, _ in here) > one.group_size:
                model.add(sum(group.children * variable for group, variable in here) <= one.group_size)
            balls += self._turn_balls(here, one, used[code])
            balls += [one.balls_each * group.children * variable for group, variable in here if one.balls_each]
            adults.append(self._adults(here, used[code], one.adults))
        for limit, each in (
            (floor.hoops, {code: self.by_code[code].hoops for code in used}),
            (floor.tables, {code: self.by_code[code].tables for code in used}),
            (floor.sockets, {code: self.by_code[code].sockets for code in used}),
        ):
            if limit is not None and sum(each.values()) > limit:
                model.add(sum(each[code] * used[code] for code in used) <= limit)
        if balls:
            model.add(sum(balls) <= floor.balls)
        waiting = [(group, self.waits[number, slot]) for number, group in self.groups]
        any_waits = model.new_bool_var("")
        model.add_max_equality(any_waits, [variable for _, variable in waiting])
        adults.append(self._adults(waiting, any_waits, 1))
        model.add(sum(adults) <= len(request.adults))
        skills = sorted({self.by_code[code].skill for code in used} - {""})
        for size in range(1, len(skills) + 1):
            for chosen in combinations(skills, size):
                able = sum(any(adult.can(skill) for skill in chosen) for adult in request.adults)
                asking = [used[code] for code in used if self.by_code[code].skill in chosen]
                if len(asking) > able:
                    model.add(sum(asking) <= able)

    def _turn_balls(self, here: list[tuple[Group, Any]], one: Activity, used: Any) -> list[Any]:
        """Balls for the turns at a station: those of its hoops, or of as many turns as whoever is there makes."""
        if not one.balls:
            return []
        if one.hoops:
            return [one.balls * one.turns_at_once * used]
        turns = self.model.new_int_var(0, sum(group.children for group, _ in here), "")
        self.model.add(one.players * turns >= sum(group.children * variable for group, variable in here))
        return [one.balls * turns]

    def _together(self, slot: int, one: Activity, used: Any) -> bool:
        """One variable for each set of groups that may be at a station at once, where those are few.

        What a set needs and how active it is are then plain numbers, which bounds far better.
        """
        here = self._here(slot, one.code)
        some = sets_of(one, [group for group, _ in here])
        if some is None:
            return False
        chosen = [self.model.new_bool_var("") for _ in some]
        self.model.add(sum(chosen) == used)
        for place, (_, variable) in enumerate(here):
            self.model.add(variable == sum(v for them, v in zip(some, chosen, strict=True) if place in them))
        self.sets[slot, one.code] = [
            ([here[n][0] for n in them], variable) for them, variable in zip(some, chosen, strict=True)
        ]
        return True

    def _adults(self, here: list[tuple[Group, Any]], used: Any, fewest: int) -> Any:
        """A number of adults that is enough for whoever is here, by the ratio of the youngest of them."""
        model = self.model
        adults = model.new_int_var(0, len(self.request.adults), "")
        model.add(adults >= fewest * used)
        children = sum(group.children * variable for group, variable in here)
        for ratio in sorted({self.request.limit(group) for group, _ in here}, reverse=True):
            strict = [variable for group, variable in here if self.request.limit(group) == ratio]
            everybody = ratio >= max(self.request.limit(group) for group, _ in here)
            if everybody:
                model.add(ratio * adults >= children)
                continue
            for variable in strict:
                model.add(ratio * adults >= children).only_enforce_if(variable)
        return adults

    def any_plan(self) -> Answer:
        """Find some plan that keeps every limit, or prove that there is none."""
        return self._solve()

    def active(self, most: int) -> Answer:
        """Make active child seconds at the stations as many as can be; the value is ``most`` less them.

        No plan has more than ``most``.
        """
        self.model.add(self._gained() <= most)
        self.model.minimize(most - self._gained())
        return self._solve()

    def uneven(self, least: int = 0) -> Answer:
        """Make the groups differ as little as can be in seconds active per child; no plan is below ``least``."""
        self.model.add(self._uneven() >= least)
        self.model.minimize(self._uneven())
        return self._solve()

    def keep(self, active: int, uneven: int | None = None) -> None:
        """Demand from here on at least ``active`` active child seconds, and no greater difference than ``uneven``."""
        self.model.add(self._gained() >= active)
        if uneven is not None:
            self.model.add(self._uneven() <= uneven)

    def _gained(self) -> Any:
        return sum(group.children * self._active()[number] for number, group in self.groups)

    def _uneven(self) -> Any:
        if self.difference is None:
            top = 60 * self.length * max(1, self.rotations)
            most, fewest = self.model.new_int_var(0, top, ""), self.model.new_int_var(0, top, "")
            for number, _ in self.groups:
                self.model.add(most >= self._active()[number])
                self.model.add(fewest <= self._active()[number])
            self.difference = most - fewest
        return self.difference

    def short(self, gained: int, uneven: int, effort: float) -> Answer:
        """Look for a plan with ``gained`` active child seconds, no greater difference and the fewest steps of all.

        "infeasible" when none has all three; "unknown" when that is not found out within ``effort``.
        """
        self.keep(gained, uneven)
        for number, group in self.groups:
            walks = short_walks(self.request, group, self.rotations, self.length, gained)
            if walks is None:
                return Answer("unknown")
            choose_walk(self.model, number, walks, self.at, self.waits)
        # Whole walks leave questions of yes and no, where clauses find what sums only slow down.
        return self._solve(effort, cp_model_probing_level=0, linearization_level=0)

    def steps(self, effort: float) -> Answer:
        """Make the steps around the space as few as can be; a waiting group stays where it was.

        ``effort``: see ``_solve``.
        """
        total = []
        for number, group in self.groups:
            total += count_steps(self.model, self.request, number, group, self.at, self.waits, self.rotations)
        self.model.minimize(sum(total) if total else 0)
        return self._solve(effort)

    def _active(self) -> dict[int, Any]:
        """Seconds active per child of each group at the stations, by how many share a station."""
        if self.seconds_active is None:
            found: dict[int, list[Any]] = {number: [] for number, _ in self.groups}
            for slot in self.slots:
                for one in self.by_code.values():
                    self._active_at(slot, one, found)
            self.seconds_active = {number: sum(terms) if terms else 0 for number, terms in found.items()}
        return self.seconds_active

    def _active_at(self, slot: int, one: Activity, found: dict[int, list[Any]]) -> None:
        model = self.model
        here = [(n, group) for n, group in self.groups if (n, slot, one.code) in self.at]
        if not here or not one.moving:
            return
        if (slot, one.code) in self.sets:
            for them, variable in self.sets[slot, one.code]:
                seconds = active_seconds(one, sum(group.children for group in them), self.length)
                for number, group in here:
                    if group in them:
                        found[number].append(seconds * variable)
            return
        sizes = sorted(group.children for _, group in here)
        alone = len(here) == 1 or sizes[0] + sizes[1] > one.group_size
        most = active_seconds(one, 1, self.length)
        if alone or active_seconds(one, min(sum(sizes), one.group_size), self.length) == most:
            # Nobody can share it, or sharing costs nobody a turn.
            for number, group in here:
                seconds = active_seconds(one, group.children, self.length)
                found[number].append(seconds * self.at[number, slot, one.code])
            return
        together = min(sum(sizes), one.group_size)
        children = model.new_int_var(0, together, "")
        model.add(children == sum(group.children * self.at[number, slot, one.code] for number, group in here))
        each = model.new_int_var(0, most, "")
        model.add_element(children, [active_seconds(one, size, self.length) for size in range(together + 1)], each)
        room = active_seconds(one, together, self.length) * together
        room = max([room] + [active_seconds(one, size, self.length) * size for size in range(1, together + 1)])
        gained = []
        for number, group in here:
            mine = model.new_int_var(0, most, "")
            variable = self.at[number, slot, one.code]
            model.add(mine == each).only_enforce_if(variable)
            model.add(mine <= active_seconds(one, group.children, self.length) * variable)
            found[number].append(mine)
            gained.append(group.children * mine)
        model.add(sum(gained) <= room)

    def _solve(self, effort: float | None = None, **parameters: int) -> Answer:
        """The best within the time. ``effort``: work after which to stop, about seconds, the same on any machine."""
        from ortools.sat.python import cp_model

        model = self.model
        model.clear_hints()
        if self.hint:
            for (number, slot, code), variable in self.at.items():
                one = self.hint[number][slot]
                model.add_hint(variable, one is not None and one.code == code)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(0.05, self.deadline - time.perf_counter())
        if effort is not None:
            solver.parameters.max_deterministic_time = effort
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = self.seed
        # Hoops and adults bind as sums, which linear programming sees and clauses don't.
        solver.parameters.linearization_level = 2
        for name, value in parameters.items():
            setattr(solver.parameters, name, value)
        status = solver.solve(model)
        if status == cp_model.INFEASIBLE:
            return Answer("infeasible")
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Answer("unknown", bound=round(solver.best_objective_bound) if model.has_objective() else 0)
        visits: Visits = [[None] * self.rotations for _ in self.groups]
        for (number, slot, code), variable in self.at.items():
            if solver.boolean_value(variable):
                visits[number][slot] = self.by_code[code]
        self.hint = visits
        found: Found = "optimal" if status == cp_model.OPTIMAL else "feasible"
        if not model.has_objective():
            return Answer(found, visits)
        value = round(solver.objective_value)
        # The bound of a search that ended with proof is its value; else the solver's, rounded up to a whole number.
        bound = value if found == "optimal" else min(value, -int(-(solver.best_objective_bound - 1e-6) // 1))
        return Answer(found, visits, value, bound)
