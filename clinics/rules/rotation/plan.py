"""The best run sheet with its proof, and the rest of one that has begun."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from clinics.rules.activities import ACTIVITIES, Activity
from clinics.rules.rotation.cyclic import Visits, cyclic
from clinics.rules.rotation.facts import Adult, Floor, Group, Objective, Request, RunSheet, Slot, per_adult_of
from clinics.rules.rotation.measures import fewest_steps, most_alone, seconds_of, steps_of
from clinics.rules.rotation.reasons import helpful_changes, seen_at_once, what_binds
from clinics.rules.rotation.search import Search
from clinics.rules.rotation.sheet import slots_of, times_of
from clinics.rules.rotation.timeline import Timeline, timelines
from clinics.rules.supervision import RATIO_TABLES, RatioTable

__all__ = ["cyclic_sheet", "plan_run_sheet", "replan", "request_for"]

CHANGEOVER = 1  # minutes between two slots; common practice, no source
WATER_EVERY = 25  # minutes, at most; common practice (20 to 30), no source
RATIO = RATIO_TABLES["aca_day_camp"]
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

    In order: fewest child seconds not active, least difference between groups, fewest steps around the hall, which
    stands in the order of ``activities``. The first aim looks at every number and length of slots; of equals the one
    with fewer slots is taken, and the other aims are proven for it. One worker: the same seed gives the same plan
    whenever the search ends before ``seconds``. Raises ValueError for what is no clinic at all.
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
    return _plan(request, seconds, seed)


def request_for(
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
) -> Request:
    """The facts in order and checked. Raises ValueError with a sentence."""
    if not groups:
        raise ValueError("There are no children yet. Make groups first.")
    chosen = list(activities)
    for kind in ("opener", "water", "closer"):
        mine = [one for one in chosen if one.kind == kind]
        if len(mine) > 1:
            raise ValueError(f"A clinic has one {kind}: choose {' or '.join(one.name for one in mine)}.")
        if not mine:
            chosen.append(next(one for one in ACTIVITIES.values() if one.kind == kind))
    for what, codes in (("group", [one.code for one in groups]), ("activity", [one.code for one in chosen])):
        twice = sorted({code for code in codes if codes.count(code) > 1})
        if twice:
            raise ValueError(f"The {what} {twice[0]} is there twice. Give each once.")
    if not any(one.kind in ("station", "stem") for one in chosen):
        raise ValueError("There are no stations. Choose at least one.")
    if stem and not any(one.kind == "stem" and one.code not in optional for one in chosen):
        raise ValueError("Everybody has STEM, and no STEM station is chosen. Choose at least one.")
    strange = sorted(set(optional) - {one.code for one in chosen if not one.whole_hall})
    if strange:
        raise ValueError(f"{strange[0]} is no station of this clinic, so it can't be left open.")
    if minutes < 1 or water_every < 1 or changeover < 0:
        raise ValueError("A clinic and the time between waters last at least 1 minute, changing over 0 or more.")
    return Request(
        groups=tuple(groups),
        activities=tuple(chosen),
        minutes=minutes,
        floor=floor,
        adults=_adults(adults),
        per_adult=per_adult_of(ratio),
        changeover=changeover,
        water_every=water_every,
        optional=frozenset(optional),
        advanced_apart=advanced_apart,
        stem=stem,
    )


def _adults(adults: int | Sequence[Adult | str]) -> tuple[Adult, ...]:
    if isinstance(adults, int):
        if adults < 0:
            raise ValueError("There are 0 or more adults.")
        return tuple(Adult(f"Adult {number + 1}") for number in range(adults))
    found = tuple(Adult(one) if isinstance(one, str) else one for one in adults)
    names = [one.name for one in found]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f"{name} is there twice. Tell the two apart.")
    return found


@dataclass
class _Best:
    line: Timeline
    visits: Visits
    gained: int  # active child seconds at the stations
    active: int  # those and the whole hall's


def _plan(request: Request, seconds: float, seed: int, kept: tuple[Slot, ...] = ()) -> RunSheet:
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
            binding=" ".join(dict.fromkeys(reasons)),
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
            binding=what_binds(request, changes),
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
    lines = []
    for line in timelines(request):
        hall = line.hall_active * request.children
        lines.append((hall + most_alone(request, line.rotations, line.length), line))
    lines.sort(key=lambda pair: (-pair[0], pair[1].rotations, pair[1].length))
    best: _Best | None = None
    most, dead, undecided = 0, -1, False
    solved: dict[int, list[tuple[int, int]]] = {}
    for upper, line in lines:
        if line.rotations <= dead:
            continue
        hall = line.hall_active * request.children
        # Stations left open may suit one length and not another, so then nothing is known from another length.
        longer = () if request.optional else solved.get(line.rotations, ())
        known = [bound for length, bound in longer if length >= line.length]
        upper = min([upper, *(hall + bound for bound in known)])
        if best and upper <= best.active:
            continue
        if time.perf_counter() >= deadline:
            most, undecided = max(most, upper), True
            continue
        plain = cyclic(request, line.rotations)
        gained = _gained(request, line, plain) if plain else -1
        bound = upper - hall
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
        most = max(most, hall + bound)
        if visits is None:
            undecided = True
            continue
        solved.setdefault(line.rotations, []).append((line.length, bound))
        if best is None or hall + gained > best.active:
            best = _Best(line, visits, gained, hall + gained)
    return best, most, undecided


def _finer(request: Request, best: _Best, deadline: float, seconds: float, seed: int) -> list[Objective]:
    """The aims after the first, for the timeline that is best by it. Searched only where nothing else proves them."""
    line, objectives = best.line, []
    plain = cyclic(request, line.rotations)
    if plain and _gained(request, line, plain) == best.gained:
        best.visits = plain
    search: Search | None = None
    uneven = _uneven(request, line, best.visits)
    bound = uneven
    # Where each group has the most it could have, no plan that keeps the first aim differs in this one.
    if uneven and best.gained < most_alone(request, line.rotations, line.length):
        search = Search(request, line.rotations, line.length, deadline=deadline, seed=seed)
        search.keep(best.gained)
        search.hint = best.visits
        answer = search.uneven()
        bound = max(0, answer.bound)
        if answer.visits is not None:
            best.visits, uneven = answer.visits, answer.value
    objectives.append(Objective("uneven", uneven, bound))
    steps, bound = steps_of(request, best.visits), fewest_steps(request)
    if steps > bound:
        search = search or Search(request, line.rotations, line.length, deadline=deadline, seed=seed)
        search.keep(best.gained, uneven)
        search.hint = best.visits
        # Steps matter least and are the hardest to prove, so nobody waits long for the last of them; stopping after so
        # much work, not after so much time, the same seed still gives the same plan.
        answer = search.steps(seconds * STEPS_SHARE)
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


def _notes(request: Request) -> tuple[str, ...]:
    notes = []
    for one in request.stations:
        out = [group.code for group in request.groups if not request.allowed(group, one)]
        if out:
            notes.append(f"{one.name} is not for group {', '.join(out)} by age or level.")
    return tuple(notes)


def cyclic_sheet(request: Request) -> RunSheet | None:
    """The plain plan: the fewest slots in which each group just moves on one station, None where that doesn't work.

    The slots are as long as fits.
    """
    lines = list(timelines(request))
    for rotations in sorted({line.rotations for line in lines}):
        visits = cyclic(request, rotations)
        if visits:
            line = max((one for one in lines if one.rotations == rotations), key=lambda one: one.length)
            slots = slots_of(request, line, visits)
            return RunSheet(request, "best found", slots, times_of(request, slots, request.minutes))
    return None


def replan(
    sheet: RunSheet,
    done_minutes: int,
    *,
    now_minute: int | None = None,
    end_minute: int | None = None,
    adults: int | Sequence[Adult | str] | None = None,
    floor: Floor | None = None,
    groups: Sequence[Group] | None = None,
    leave_out: Collection[str] = (),
    seconds: float = 5,
    seed: int = 0,
) -> RunSheet:
    """The rest of a clinic, keeping what has been done.

    ``done_minutes``: up to which minute of the sheet things were done; 0 for nothing. ``now_minute``: the minute at
    which the rest can begin when that is later, as after a late start. ``end_minute``: when the clinic ends, if not
    as planned. Minutes count from the planned start. A slot counts as done when it is over, or when it is running and
    every activity in it has had its least minutes; else it is planned again. What has changed on the day (adults,
    floor, groups, stations to leave out) holds for the rest. Raises ValueError for minutes out of order.
    """
    old = sheet.request
    begin = done_minutes if now_minute is None else now_minute
    end = old.start + old.minutes if end_minute is None else end_minute
    if not 0 <= done_minutes <= begin < end:
        raise ValueError(f"The rest can't go from minute {begin} to {end} with {done_minutes} minutes done.")
    by_code = {one.code: one for one in old.activities}
    kept: list[Slot] = []
    for slot in sheet.slots:
        codes = {code for code in slot.stations.values() if code in by_code}
        least = max((by_code[code].least_minutes for code in codes), default=0)
        if slot.end <= done_minutes:
            kept.append(slot)
        elif slot.start < done_minutes and done_minutes - slot.start >= least:
            kept.append(replace(slot, minutes=done_minutes - slot.start))
    had = {
        group.code: frozenset(slot.stations[group.code] for slot in kept if group.code in slot.stations)
        for group in groups or old.groups
    }
    over = frozenset(
        code for slot in kept for code in slot.stations.values() if code in by_code and by_code[code].kind != "water"
    )
    drank = max((slot.end for slot in kept if slot.kind == "water"), default=0)
    request = replace(
        old,
        groups=tuple(groups) if groups is not None else old.groups,
        activities=tuple(one for one in old.activities if one.code not in leave_out),
        minutes=end - begin,
        floor=floor or old.floor,
        adults=old.adults if adults is None else _adults(adults),
        done=had,
        over=frozenset(code for code in over if by_code[code].whole_hall),
        since_water=begin - drank if kept else 0,
        start=begin,
    )
    if not request.groups:
        raise ValueError("There are no children left. There is nothing to plan.")
    return _plan(request, seconds, seed, tuple(kept))
