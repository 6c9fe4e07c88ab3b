"""The best run sheet with its proof."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from clinics.rules.supervision import RatioTable
from core.rules.refused import Reason
from runsheets.rules.activities import Activity
from runsheets.rules.rotation.cyclic import Visits, cyclic
from runsheets.rules.rotation.facts import Adult, Floor, Group, Objective, Request, RunSheet, Slot
from runsheets.rules.rotation.intake import CHANGEOVER, RATIO, WATER_EVERY, request_for
from runsheets.rules.rotation.measures import fewest_steps, most_alone, seconds_of, steps_of
from runsheets.rules.rotation.reasons import helpful_changes, seen_at_once, what_binds
from runsheets.rules.rotation.search import Search
from runsheets.rules.rotation.sharing import least_uneven, most_shared
from runsheets.rules.rotation.sheet import slots_of, times_of
from runsheets.rules.rotation.timeline import Timeline, timelines

__all__ = ["cyclic_sheet", "plan_of", "plan_run_sheet"]

STEPS_SHARE = 0.2  # of the seconds, the most work put into fewest steps


def plan_run_sheet(
    groups: Sequence[Group],
    activities: Sequence[Activity],
    minutes: int,
    floor: Floor,
    adults: int | Sequence[Adult | str],
    *,
    ratio: RatioTable | Callable[[int], int] = RATIO,
    changeover: int = CHANGEOVER,
    water_every: int = WATER_EVERY,
    optional: Collection[str] = (),
    advanced_apart: bool = False,
    stem: bool = True,
    seconds: float = 5,
    seed: int = 0,
) -> RunSheet:
    """The best plan of one clinic, or why there is none.

    All together: the opener first, games after the stations, the closing circle last, water in between so that no
    stretch is longer than ``water_every``. Between: slots of one length, in which each group is at a station or waits;
    each group has every station for its age and level once (those in ``optional`` at most once). An opener, water
    and a closer of the house are added where none are given. ``adults``: cleared adults there, a number, names, or
    with skills; helpers under 18 are not among them. ``ratio``: a table, or children per adult by the youngest's age.
    ``advanced_apart``: advanced groups have the advanced stations; else nobody has them. ``stem``: everybody has STEM.

    In order: fewest child seconds not active, least difference between groups, fewest steps around the space, which
    stands in the order of ``activities``. The first aim looks at every number and length of slots; of equals the one
    with fewer slots is taken, and the other aims are proven for it. One worker: the same seed gives the same plan
    whenever the search ends before ``seconds``; looking for what would help may take as long again. Raises Refused
    for what is no clinic at all.
    """
    request = request_for(
        groups,
        activities,
        minutes,
        floor,
        adults,
        ratio=ratio,
        changeover=changeover,
        water_every=water_every,
        optional=optional,
        advanced_apart=advanced_apart,
        stem=stem,
    )
    return plan_of(request, seconds, seed)


@dataclass
class _Best:
    line: Timeline
    visits: Visits
    gained: int  # active child seconds at the stations
    active: int  # those and the whole space's


def plan_of(request: Request, seconds: float, seed: int, kept: tuple[Slot, ...] = ()) -> RunSheet:
    """Find the best plan of a request, which begins after the slots ``kept`` that are over."""
    if not seconds > 0:
        raise ValueError("Give the search more than 0 seconds.")
    for group in request.groups:
        if request.limit(group) < 1:
            raise ValueError(f"The ratio for age {group.youngest} must let an adult have at least 1 child.")
    began = time.perf_counter()
    deadline = began + seconds
    reasons = seen_at_once(request)
    if reasons:
        changes = helpful_changes(request, deadline, seed)
        return RunSheet(
            request,
            "infeasible",
            kept,
            binding=tuple(one for number, one in enumerate(reasons) if one not in reasons[:number]),
            changes=tuple(changes),
            seconds=time.perf_counter() - began,
        )
    best, most, undecided = _most_active(request, deadline, seed)
    whole = 60 * request.minutes * request.children
    if best is None:
        if undecided:
            return RunSheet(request, "unknown", kept, seconds=time.perf_counter() - began)
        changes = helpful_changes(request, time.perf_counter() + seconds, seed)
        return RunSheet(
            request,
            "infeasible",
            kept,
            binding=(what_binds(request, changes),),
            changes=tuple(changes),
            seconds=time.perf_counter() - began,
        )
    objectives = [
        Objective("not active", whole - best.active, whole - most),
        *_finer(request, best, deadline, seconds, seed),
    ]
    slots = kept + slots_of(request, best.line, best.visits)
    return RunSheet(
        request,
        "proven best" if all(one.proven for one in objectives) else "best found",
        slots,
        times_of(request, slots, request.start + request.minutes),
        tuple(objectives),
        time.perf_counter() - began,
        best.line.spare,
        notes=_notes(request),
    )


def _most_active(request: Request, deadline: float, seed: int) -> tuple[_Best | None, int, bool]:
    """The plan with most active child seconds, a bound no plan is above, and whether some timeline was not decided.

    Timelines are taken from the most promising on. Of one number of slots, a shorter length never has more at the
    stations than a longer one that is solved already; and if a number of slots holds no plan, no smaller one does.
    """
    lines: list[tuple[int, int, int, int, Timeline, bool]] = []
    for line in timelines(request):
        upper = line.space_active * request.children + most_alone(request, line.rotations, line.length)
        # Of equals the one with fewer slots comes first, and the number keeps two lines from being compared.
        lines.append((-upper, line.rotations, line.length, len(lines), line, False))
    heapify(lines)
    best: _Best | None = None
    most, dead, undecided = 0, -1, False
    solved: dict[int, list[tuple[int, int]]] = {}
    while lines:
        upper, *_, number, line, bounded = heappop(lines)
        upper = -upper
        if line.rotations <= dead:
            continue
        space = line.space_active * request.children
        # Stations left open may suit one length and not another, so then nothing is known from another length.
        longer = () if request.optional else solved.get(line.rotations, ())
        known = [bound for length, bound in longer if length >= line.length]
        upper = min([upper, *(space + bound for bound in known)])
        # As active as the best in fewer slots is better: of equals the one with fewer slots is taken.
        if best and (upper, -line.rotations) <= (best.active, -best.line.rotations):
            continue
        if not bounded and time.perf_counter() < deadline:
            plain = cyclic(request, line.rotations, line.length)
            if not plain or space + _gained(request, line, plain) < upper:
                shared = most_shared(request, line.rotations, line.length)
                if shared is not None and shared < 0:
                    dead = max(dead, line.rotations)
                    continue
                upper = upper if shared is None else min(upper, space + shared)
            heappush(lines, (-upper, line.rotations, line.length, number, line, True))
            continue
        if time.perf_counter() >= deadline:
            most, undecided = max(most, upper), True
            continue
        plain = cyclic(request, line.rotations, line.length)
        gained = _gained(request, line, plain) if plain else -1
        bound = upper - space
        if plain and gained == bound:
            visits: Visits | None = plain
        else:
            search = Search(request, line.rotations, line.length, deadline=deadline, seed=seed)
            search.hint = plain
            answer = search.active(bound)
            if answer.status == "infeasible":
                dead = max(dead, line.rotations)
                continue
            visits, gained, bound = answer.visits or plain, bound - answer.value, bound - answer.bound
            if answer.visits is None and plain:
                gained = _gained(request, line, plain)
        most = max(most, space + bound)
        if visits is None:
            undecided = True
            continue
        solved.setdefault(line.rotations, []).append((line.length, bound))
        if best is None or (space + gained, -line.rotations) > (best.active, -best.line.rotations):
            best = _Best(line, visits, gained, space + gained)
    return best, most, undecided


def _finer(request: Request, best: _Best, deadline: float, seconds: float, seed: int) -> list[Objective]:
    """The aims after the first, for the timeline that is best by it. Searched only where nothing else proves them."""
    line, objectives = best.line, []
    plain = cyclic(request, line.rotations, line.length)
    if plain and _gained(request, line, plain) == best.gained:
        best.visits = plain
    work = seconds * STEPS_SHARE
    uneven = _uneven(request, line, best.visits)
    fewest = fewest_steps(request, line.rotations, line.length, best.gained)
    bound = uneven
    # Where each group has the most it could have, no plan that keeps the first aim differs in this one.
    if uneven and best.gained < most_alone(request, line.rotations, line.length):
        bound = least_uneven(request, line.rotations, line.length, best.gained)
    if uneven > bound or steps_of(request, best.visits) > fewest:
        # Often one plan is as good as can be in all that is left, and looking for that alone takes a moment.
        search = Search(request, line.rotations, line.length, deadline=deadline, seed=seed)
        answer = search.short(best.gained, bound, work)
        if answer.visits is not None:
            best.visits, uneven = answer.visits, bound
        elif answer.status == "infeasible" and uneven == bound:
            fewest += 1
    if uneven > bound:
        search = Search(request, line.rotations, line.length, deadline=deadline, seed=seed)
        search.keep(best.gained)
        search.hint = best.visits
        answer = search.uneven(bound)
        bound = max(bound, answer.bound)
        if answer.visits is not None:
            best.visits, uneven = answer.visits, answer.value
    objectives.append(Objective("uneven", uneven, bound))
    steps, bound = steps_of(request, best.visits), fewest
    if steps > bound:
        search = Search(request, line.rotations, line.length, deadline=deadline, seed=seed)
        search.keep(best.gained, uneven)
        search.hint = best.visits
        # Steps matter least and are the hardest to prove, so nobody waits long for the last of them; stopping after so
        # much work, not after so much time, the same seed still gives the same plan.
        answer = search.steps(work)
        bound = max(bound, answer.bound)
        if answer.visits is not None and answer.value <= steps:
            best.visits, steps = answer.visits, answer.value
    objectives.append(Objective("steps", steps, bound))
    return objectives


def _gained(request: Request, line: Timeline, visits: Visits) -> int:
    seconds = seconds_of(request, line.length, visits)
    return sum(group.children * one for group, one in zip(request.groups, seconds, strict=True))


def _uneven(request: Request, line: Timeline, visits: Visits) -> int:
    seconds = seconds_of(request, line.length, visits)
    return max(seconds) - min(seconds)


def _notes(request: Request) -> tuple[Reason, ...]:
    notes = []
    for one in request.stations:
        out = [group.code for group in request.groups if not request.allowed(group, one)]
        if out:
            notes.append(Reason("not for groups", {"name": one.name, "groups": out}))
    return tuple(notes)


def cyclic_sheet(request: Request) -> RunSheet | None:
    """Make the plain plan, in which each group moves on one station in each slot and there are as few slots as can be.

    The slots are as long as fits. None when no such plan works.
    """
    lines = list(timelines(request))
    for rotations in sorted({line.rotations for line in lines}):
        line = max((one for one in lines if one.rotations == rotations), key=lambda one: one.length)
        visits = cyclic(request, rotations, line.length)
        if visits:
            slots = slots_of(request, line, visits)
            return RunSheet(request, "best found", slots, times_of(request, slots, request.minutes))
    return None
