"""Why there is no plan, and the smallest changes that help, each found by planning again."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from core.rules.refused import Reason
from runsheets.rules.rotation.active import balls_needed, most_together, space_turns
from runsheets.rules.rotation.cyclic import adults_at, cyclic
from runsheets.rules.rotation.facts import Adult, Change, Request
from runsheets.rules.rotation.search import Search
from runsheets.rules.rotation.timeline import slot_lengths, timelines

__all__ = ["can_be_planned", "helpful_changes", "seen_at_once", "what_binds", "with_change"]

LONGEST_LOOK = 1.5  # seconds for one question of whether a changed clinic can be planned
MOST_MINUTES = 90


@dataclass(frozen=True, slots=True)
class _Kind:
    """A number that could be more. ``there``: how many there are. ``most``: the largest change looked at."""

    what: str
    there: int | None
    most: int


def _kinds(request: Request) -> list[_Kind]:
    floor = request.floor
    kinds = [
        _Kind("adults", len(request.adults), 12),
        _Kind("hoops", floor.hoops, 12),
        _Kind("minutes", request.minutes, MOST_MINUTES),
        _Kind("smaller groups", None, max(group.children for group in request.groups) - 1),
        _Kind("balls", floor.balls, 80),
    ]
    if floor.tables is not None:
        kinds.append(_Kind("tables", floor.tables, 12))
    if floor.sockets is not None:
        kinds.append(_Kind("sockets", floor.sockets, 12))
    for skill in sorted({one.skill for one in request.stations} - {""}):
        if any(adult.skills is not None for adult in request.adults):
            kinds.append(_Kind(f"skill:{skill}", None, 8))
    if floor.capacity is not None:
        kinds.append(_Kind("capacity", floor.capacity, 200))
    return kinds


def with_change(request: Request, what: str, amount: int | str) -> Request:
    """Return the request after one change: a kind of number raised, groups made smaller, or a station left out."""
    if isinstance(amount, str):
        kept = tuple(one for one in request.activities if one.code != amount)
        return replace(request, activities=kept, optional=request.optional - {amount})
    if what == "minutes":
        return replace(request, minutes=request.minutes + amount)
    if what == "adults" or what.startswith("skill:"):
        skills = frozenset({what.removeprefix("skill:")}) if what != "adults" else frozenset()
        more = tuple(Adult(f"{what} more {number + 1}", skills) for number in range(amount))
        return replace(request, adults=request.adults + more)
    if what == "smaller groups":
        smaller = tuple(replace(group, children=max(1, group.children - amount)) for group in request.groups)
        return replace(request, groups=smaller)
    return request.with_floor(**{what: (getattr(request.floor, what) or 0) + amount})


def seen_at_once(request: Request) -> list[Reason]:
    """List the limits that fail without any search: each says what is there and what would be needed."""
    return [*_about_space(request), *_about_stations(request), *_about_time(request)]


def _about_space(request: Request) -> Iterator[Reason]:
    floor, children, adults = request.floor, request.children, len(request.adults)
    space = request.of_kind("opener", "game", "water", "closer")
    if floor.capacity is not None and children + adults > floor.capacity:
        yield Reason("too many people", {"children": children, "adults": adults, "capacity": floor.capacity})
    needed = request.adults_for_all(max((one.adults for one in space), default=0))
    if adults < needed:
        yield Reason("too few adults", {"children": children, "needed": needed, "there": adults})
    for one in space:
        for group in request.groups:
            if not one.suits(group.youngest, group.oldest):
                ages = {"least": one.youngest, "most": one.oldest, "youngest": group.youngest, "oldest": group.oldest}
                yield Reason("hall ages", {"name": one.name, "group": group.code, **ages})
        if children > most_together(one, floor):
            facts = {"name": one.name, "most": one.group_size, "children": children}
            if one.hoops:
                sets = -(-children // one.group_size)
                yield Reason("hall hoops", facts | {"needed": sets * one.hoops, "there": floor.hoops})
            else:
                yield Reason("hall full", facts)
        elif one.moving and not space_turns(one, floor, children):
            yield Reason("hall balls", {"name": one.name, "there": floor.balls})


def _about_stations(request: Request) -> Iterator[Reason]:
    floor, adults = request.floor, len(request.adults)
    for group in request.groups:
        had = request.done.get(group.code, frozenset())
        if request.stem and not any(
            one.kind == "stem" and (one.code in had or one in request.due(group)) for one in request.stations
        ):
            yield Reason("no stem for", {"group": group.code, "youngest": group.youngest, "oldest": group.oldest})
        for one in request.due(group):
            facts = {"name": one.name, "group": group.code}
            if group.children > one.group_size:
                yield Reason("station full", facts | {"most": one.group_size, "children": group.children})
            needed = adults_at(request, one, [group])
            if needed > adults:
                yield Reason("station adults", facts | {"needed": needed, "there": adults})
            needed = balls_needed(one, group.children)
            if needed > floor.balls:
                yield Reason("station balls", facts | {"needed": needed, "there": floor.balls})
    due = {one.code: one for group in request.groups for one in request.due(group)}
    for one in due.values():
        for thing, needed, there in (
            ("hoops", one.hoops, floor.hoops),
            ("tables", one.tables, floor.tables),
            ("sockets", one.sockets, floor.sockets),
        ):
            if there is not None and needed > there:
                yield Reason(f"station {thing}", {"name": one.name, "needed": needed, "there": there})
        if one.skill and request.adults and not any(adult.can(one.skill) for adult in request.adults):
            yield Reason("no skill", {"name": one.name, "skill": one.skill})


def _about_time(request: Request) -> Iterator[Reason]:
    due = {one.code: one for group in request.groups for one in request.due(group)}
    if due and not slot_lengths(request):
        longest = max(due.values(), key=lambda one: one.least_minutes)
        shortest = min(due.values(), key=lambda one: one.most_minutes)
        yield Reason(
            "no common length",
            {
                "long": longest.name,
                "least": longest.least_minutes,
                "short": shortest.name,
                "most": shortest.most_minutes,
            },
        )
    elif request.adults and not any(True for _ in timelines(request, shortest_only=True)):
        needed = next(
            (
                minutes
                for minutes in range(request.minutes + 1, request.minutes + 24 * 60)
                if any(True for _ in timelines(replace(request, minutes=minutes), shortest_only=True))
            ),
            None,
        )
        if needed is None:
            yield Reason("no slot short enough", {"water_every": request.water_every})
        else:
            yield Reason("too little time", {"needed": needed, "there": request.minutes})


Verdict = Literal["yes", "no", "unknown"]


def can_be_planned(request: Request, deadline: float, seed: int) -> Verdict:
    """Say whether any plan keeps every limit. The most slots that fit decide, since a group may wait in one."""
    if not any(True for _ in request.groups) or seen_at_once(request):
        return "no"
    line = list(timelines(request, shortest_only=True))[-1]
    if not line.rotations or cyclic(request, line.rotations, line.length):
        return "yes"
    end = min(deadline, time.perf_counter() + LONGEST_LOOK)
    answer = Search(request, line.rotations, line.length, deadline=end, seed=seed).any_plan()
    return "unknown" if answer.status == "unknown" else "no" if answer.status == "infeasible" else "yes"


def helpful_changes(request: Request, deadline: float, seed: int) -> list[Change]:
    """Find the smallest amount of each kind of change that is enough by itself; else changes that help together."""

    def works(changed: Request) -> bool:
        return time.perf_counter() < deadline and can_be_planned(changed, deadline, seed) == "yes"

    found = []
    for kind in _kinds(request):
        amount = _smallest(lambda n, what=kind.what: works(with_change(request, what, n)), kind.most)  # type: ignore[misc]
        if amount:
            found.append(Change(((kind.what, amount),)))
    stem = [one for one in request.stations if one.kind == "stem" and one.code not in request.optional]
    for one in request.stations:
        last_stem = request.stem and stem == [one]
        if one.code in request.optional or last_stem or len(request.stations) == 1:
            continue
        if works(with_change(request, "leave out", one.code)):
            found.append(Change((("leave out", one.code),)))
    return found or _together(request, works)


def _together(request: Request, works: Callable[[Request], bool]) -> list[Change]:
    """Every number raised as far as is looked at, then each in turn brought down as far as a plan still exists."""
    kinds = _kinds(request)
    amounts = {kind.what: kind.most for kind in kinds}

    def changed(numbers: dict[str, int]) -> Request:
        result = request
        for what, amount in numbers.items():
            if amount:
                result = with_change(result, what, amount)
        return result

    if not works(changed(amounts)):
        return []
    # What is hardest to change on the day is brought down first, so it ends lowest.
    for what in ("capacity", "smaller groups", "minutes", *(kind.what for kind in reversed(kinds))):
        if amounts.get(what):
            most = amounts[what]
            if works(changed(amounts | {what: 0})):
                amounts[what] = 0
            else:
                amounts[what] = _smallest(lambda n, what=what: works(changed(amounts | {what: n})), most) or most  # type: ignore[misc]
    return [Change(tuple((kind.what, amounts[kind.what]) for kind in kinds if amounts[kind.what]))]


def _smallest(works: Callable[[int], bool], most: int) -> int | None:
    """The smallest amount from 1 to ``most`` that works, where a larger one works whenever a smaller one does."""
    low, high = 0, 1
    while high <= most and not works(high):
        if high == most:
            return None
        low, high = high, min(2 * high, most)
    if high > most:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if works(middle):
            high = middle
        else:
            low = middle
    return high


def what_binds(request: Request, changes: list[Change]) -> Reason:
    """Say what stands against a plan when some plan keeps each limit and none keeps all of them.

    ``limits``: those of which more would help by itself, each with how many there are; none where only several help.
    """
    there = {kind.what: kind.there for kind in _kinds(request)}
    alone = [change.parts[0][0] for change in changes if change.parts[0][0] in there and len(change.parts) == 1]
    facts = {
        "groups": len(request.groups),
        "limits": [[what, there[what]] for what in alone],
        "adults": len(request.adults),
        "hoops": request.floor.hoops,
        "minutes": request.minutes,
    }
    return Reason("no plan", facts)
