"""Matching volunteers to positions: as well as can be, one aim after the other, each with its proven bound."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from shifts.rules.matching.exact import improve
from shifts.rules.matching.facts import (
    Note,
    Objective,
    Options,
    Person,
    Placement,
    Plan,
    Position,
    check_matching,
)
from shifts.rules.matching.greedy import greedy, holds
from shifts.rules.matching.network import Network, build_network, least_open
from shifts.rules.matching.pairs import road_km
from shifts.rules.matching.relaxed import Kept, relax
from shifts.rules.matching.stages import Stage, stages, value_of

__all__ = ["Progress", "greedy_plan", "keep_everybody", "match"]


@dataclass(frozen=True, slots=True)
class Progress:
    """What the search is at: the aim's name, its best value and bound so far, seconds since the start."""

    aim: str
    value: int
    bound: int
    seconds: float


Watch = Callable[[Progress], bool]


def match(
    positions: Sequence[Position],
    people: Sequence[Person],
    options: Options,
    *,
    start: dict[int, int] | None = None,
    watch: Watch | None = None,
) -> Plan:
    """The best plan for these positions and people.

    Hard: duty held, standing current on the day, free and within reach, no two places at once with the drive between
    them, the month's shifts and hours (travel counted), pairs kept apart, everybody who accepted keeps their place.
    In order: fewest unfilled (leads and first aiders outweigh all others), fewest clinics below their ratio, fewest
    of those asked today let go, least travel, evenest load, most at centers they know.

    ``start``: a plan to begin from, position to person, such as the last one. ``watch`` is told of the progress about
    four times a second and stops the search by answering False. Raises ValueError with a sentence for facts that
    can't be. The same facts, seed and worker count give the same plan while time does not run out.
    """
    check_matching(positions, people, options)
    began = time.monotonic()
    net = build_network(positions, people, options)
    return _Search(net, positions, options, began, watch).run(start or {})


def keep_everybody(positions: Sequence[Position]) -> list[Position]:
    """Return the positions with everybody who was asked settled, so that a search fills what is open and moves nobody.

    Such a search is small whatever the season's size, so it answers at once after one decline.
    """
    return [
        replace(one, accepted=one.asked, asked=None) if one.accepted is None and one.asked is not None else one
        for one in positions
    ]


def greedy_plan(positions: Sequence[Position], people: Sequence[Person], options: Options) -> Plan:
    """Make a plan by giving each position to the nearest person. Its bounds are zero, since nothing is proven."""
    check_matching(positions, people, options)
    began = time.monotonic()
    net = build_network(positions, people, options)
    chosen = greedy(net)
    objectives = [Objective(stage.name, value_of(net, stage, chosen), 0) for stage in stages(net)]
    return _plan(net, positions, options, chosen, objectives, "greedy", time.monotonic() - began)


class _Search:
    def __init__(
        self, net: Network, positions: Sequence[Position], options: Options, began: float, watch: Watch | None
    ) -> None:
        self.net, self.positions, self.options, self.began, self.watch = net, positions, options, began, watch
        self.arcs = list(range(len(net.arcs)))
        self.kept: list[Kept] = []
        self.objectives: list[Objective] = []
        self.stopped = False
        self.chosen: set[int] = set()

    def run(self, start: dict[int, int]) -> Plan:
        self.chosen = self._best_start(start)
        todo = stages(self.net, self.options.fill_only)
        for place, stage in enumerate(todo):
            bound = self._stage(stage, len(todo) - place)
            value = value_of(self.net, stage, self.chosen)
            self.objectives.append(Objective(stage.name, value, min(bound, value)))
            self.kept.append(Kept(stage, value))
        proven = all(one.proven for one in self.objectives)
        status = "proven best" if proven else "stopped" if self.stopped else "best found"
        seconds = time.monotonic() - self.began
        return _plan(self.net, self.positions, self.options, self.chosen, self.objectives, status, seconds)

    def _best_start(self, start: dict[int, int]) -> set[int]:
        """The better of the nearest-first plan and the plan to begin from with its gaps filled nearest first."""
        plain = greedy(self.net)
        if not start:
            return plain
        group_of = {p.id: number for number, group in enumerate(self.net.groups) for p in group.positions}
        wanted = {(group_of[position], person) for position, person in start.items() if position in group_of}
        ids = [person.id for person in self.net.people]
        first = [place for place, arc in enumerate(self.net.arcs) if (arc.group, ids[arc.person]) in wanted]
        warm = greedy(self.net, first)
        aims = stages(self.net, self.options.fill_only)
        return min((warm, plain), key=lambda chosen: [value_of(self.net, aim, chosen) for aim in aims])

    def _left(self) -> float:
        return self.options.seconds - (time.monotonic() - self.began)

    def _keep_on(self, aim: str, value: int, bound: int) -> bool:
        if self.watch is None or self.stopped:
            return not self.stopped
        if not self.watch(Progress(aim, value, bound, time.monotonic() - self.began)):
            self.stopped = True
        return not self.stopped

    def _stage(self, stage: Stage, stages_left: int) -> int:
        """Make ``chosen`` as good as can be for a stage; returns its proven bound.

        1 the relaxation gives a bound and its own choice rounded, 2 pairs that no better plan can use are left out,
        3 a search over the likeliest pairs for a good plan, 4 the search over all that are left, which proves it.
        """
        net, options = self.net, self.options
        value = value_of(net, stage, self.chosen)
        bound = _trivial_bound(net, stage)
        if value <= bound or not self._keep_on(stage.name, value, bound):
            return bound
        relaxed = relax(net, stage, self.kept, self.arcs)
        if relaxed is None:
            relaxed_bound, reduced = bound, dict.fromkeys(self.arcs, 0.0)
        else:
            relaxed_bound, reduced = max(bound, relaxed.bound), relaxed.reduced
            self._take(stage, greedy(net, relaxed.likely))
        exact = relaxed.exact if relaxed else float(bound)
        pruning = len(self.arcs) > options.prune_from
        for share in (0.5, 1.0) if pruning else (1.0,):
            value = value_of(net, stage, self.chosen)
            if value <= relaxed_bound or self.stopped or self._left() <= 0:
                break
            # A better plan comes to at most value - 1, so no pair beyond that can be in it.
            reach = value - 1 - exact + 1e-4
            if share < 1:
                reach = min(reach, max(3.0, 0.002 * abs(exact)))
                if reach >= value - 1 - exact:
                    continue
            arcs = [arc for arc in self.arcs if arc in self.chosen or reduced[arc] <= reach]
            found = improve(
                net,
                stage,
                self.kept,
                arcs,
                self.chosen,
                bound=relaxed_bound,
                seconds=max(0.05, self._left() * share * (0.7 if stages_left > 1 else 1.0)),
                workers=options.workers,
                seed=options.seed,
                keep_on=partial(self._keep_on, stage.name, value, relaxed_bound),
            )
            if found.chosen is not None:
                self._take(stage, found.chosen)
            if share == 1.0 and found.proven:
                # Over all pairs that a better plan could use, this is the best.
                relaxed_bound = max(relaxed_bound, value_of(net, stage, self.chosen))
            elif share == 1.0:
                relaxed_bound = max(relaxed_bound, min(found.bound, value))
        value = value_of(net, stage, self.chosen)
        if pruning and relaxed is not None:
            # Later stages keep this value, so what no plan of this value can use is out for good.
            reach = value - exact + 1e-4
            self.arcs = [arc for arc in self.arcs if arc in self.chosen or reduced[arc] <= reach]
        return relaxed_bound

    def _take(self, stage: Stage, chosen: set[int]) -> None:
        """Take a choice that is better in this stage and no worse in those before."""
        if not holds(self.net, chosen):
            return
        if any(value_of(self.net, one.stage, chosen) > one.value for one in self.kept):
            return
        if value_of(self.net, stage, chosen) < value_of(self.net, stage, self.chosen):
            self.chosen = chosen


def _trivial_bound(net: Network, stage: Stage) -> int:
    """What no plan can be below, seen without a search."""
    if stage.opened:
        return sum(stage.opened[number] * count for number, count in least_open(net).items())
    if stage.squares:
        return sum(count * count for count in net.base)
    return 0


def _plan(
    net: Network,
    positions: Sequence[Position],
    options: Options,
    chosen: set[int],
    objectives: list[Objective],
    status: str,
    seconds: float,
) -> Plan:
    people = {person.id: person for person in net.people}
    by_id = {position.id: position for position in positions}
    found: dict[int, int] = {p.id: p.accepted for p in positions if p.accepted is not None}
    for number, group in enumerate(net.groups):
        takers = [net.people[net.arcs[arc].person].id for arc in sorted(chosen) if net.arcs[arc].group == number]
        # Who was asked keeps their own place; the others take what is free, in order.
        free = []
        for position in group.positions:
            if position.asked in takers:
                found[position.id] = position.asked
                takers.remove(position.asked)
            else:
                free.append(position)
        for position, taker in zip(free, takers, strict=False):
            found[position.id] = taker
    placements = {
        pk: Placement(
            pk,
            person,
            road_km(people[person], by_id[pk], options) if person in people else None,
            person in (by_id[pk].accepted, by_id[pk].asked),
        )
        for pk, person in found.items()
    }
    unfilled = [position.id for position in positions if position.id not in found]
    return Plan(placements, unfilled, objectives, status, seconds, len(net.arcs), _notes(positions, people, options))


def _notes(positions: Sequence[Position], people: dict[int, Person], options: Options) -> list[Note]:
    nowhere = {position.center for position in positions if position.point is None}
    homeless = [person for person in people.values() if person.home is None]
    notes = []
    if not people:
        notes.append(Note("no volunteers"))
    if nowhere:
        notes.append(Note("centers off the map", len(nowhere), options.unknown_km))
    if homeless:
        notes.append(Note("homes off the map", len(homeless), options.unknown_km))
    return notes
