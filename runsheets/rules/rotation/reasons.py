"""Why there is no plan, in sentences, and the smallest changes that help, each found by planning again."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from kits.rules.pack_list import amount_words
from runsheets.rules.rotation.active import balls_needed, hall_places, most_together
from runsheets.rules.rotation.cyclic import adults_at, cyclic
from runsheets.rules.rotation.facts import Adult, Change, Request
from runsheets.rules.rotation.search import Search
from runsheets.rules.rotation.timeline import slot_lengths, timelines

__all__ = ["can_be_planned", "helpful_changes", "seen_at_once", "what_binds", "with_change"]

LONGEST_LOOK = 1.5  # seconds for one question of whether a changed clinic can be planned
MOST_MINUTES = 90


@dataclass(frozen=True, slots=True)
class _Kind:
    """A number that could be more. ``limit``: how the limit is named. ``most``: the largest change looked at."""

    what: str
    limit: str
    one: str
    many: str
    most: int

    def words(self, amount: int) -> str:
        return self.one if amount == 1 else self.many.format(amount)


def _kinds(request: Request) -> list[_Kind]:
    floor = request.floor
    kinds = [
        _Kind("adults", f"the adults ({len(request.adults)})", "one more adult", "{} more adults", 12),
        _Kind("hoops", f"the hoops ({floor.hoops})", "one more hoop", "{} more hoops", 12),
        _Kind("minutes", f"the minutes ({request.minutes})", "1 more minute", "{} more minutes", MOST_MINUTES),
        _Kind(
            "smaller groups",
            "the size of the groups",
            "1 child fewer in each group",
            "{} children fewer in each group",
            max(group.children for group in request.groups) - 1,
        ),
        _Kind("balls", f"the balls ({floor.balls})", "one more ball", "{} more balls", 80),
    ]
    if floor.tables is not None:
        kinds.append(_Kind("tables", f"the tables ({floor.tables})", "one more table", "{} more tables", 12))
    if floor.sockets is not None:
        kinds.append(_Kind("sockets", f"the sockets ({floor.sockets})", "one more socket", "{} more sockets", 12))
    for skill in sorted({one.skill for one in request.stations} - {""}):
        if any(adult.skills is not None for adult in request.adults):
            kinds.append(
                _Kind(f"skill:{skill}", f"who can be {skill}", f"one more adult as {skill}", f"{{}} more as {skill}", 8)
            )
    if floor.capacity is not None:
        words = "a space for one more person", "a space for {} more people"
        kinds.append(_Kind("capacity", f"the space ({floor.capacity} people)", *words, 200))
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


def seen_at_once(request: Request) -> list[str]:
    """List the limits that fail without any search: each sentence says what is there and what would be needed."""
    return [*_about_hall(request), *_about_stations(request), *_about_time(request)]


def _about_hall(request: Request) -> Iterator[str]:
    floor, children = request.floor, request.children
    hall = request.of_kind("opener", "game", "water", "closer")
    if floor.capacity is not None and children + len(request.adults) > floor.capacity:
        yield (
            f"{children} children and {len(request.adults)} adults are more than the {floor.capacity} people "
            "that the space holds."
        )
    needed = request.adults_for_all(max((one.adults for one in hall), default=0))
    if len(request.adults) < needed:
        yield f"{children} children need {needed} adults together, and there are {len(request.adults)}."
    for one in hall:
        for group in request.groups:
            if not one.suits(group.youngest, group.oldest):
                yield (
                    f"{one.name} is for ages {one.youngest} to {one.oldest}, and group {group.code} is aged "
                    f"{group.youngest} to {group.oldest}."
                )
        if children > most_together(one, floor):
            if one.hoops:
                sets = -(-children // one.group_size)
                yield (
                    f"{one.name} takes at most {one.group_size} children at a hoop: {children} children need "
                    f"{sets * one.hoops} hoops, and the floor has {floor.hoops}."
                )
            else:
                yield f"{one.name} takes at most {one.group_size} children, and there are {children}."
        elif one.moving and not hall_places(one, floor, children):
            yield f"{one.name} needs balls: there are {floor.balls}."


def _about_stations(request: Request) -> Iterator[str]:
    floor = request.floor
    for group in request.groups:
        had = request.done.get(group.code, frozenset())
        if request.stem and not any(
            one.kind == "stem" and (one.code in had or one in request.due(group)) for one in request.stations
        ):
            yield f"No STEM station is for ages {group.youngest} to {group.oldest}, so group {group.code} has none."
        for one in request.due(group):
            if group.children > one.group_size:
                yield (
                    f"{one.name} takes at most {one.group_size} children at once, and group {group.code} has "
                    f"{group.children}."
                )
            if adults_at(request, one, [group]) > len(request.adults):
                yield (
                    f"{one.name} needs {adults_at(request, one, [group])} adults for group {group.code}, and there "
                    f"are {len(request.adults)}."
                )
            if balls_needed(one, group.children) > floor.balls:
                yield (
                    f"{one.name} needs {balls_needed(one, group.children)} balls for group {group.code}, and there "
                    f"are {floor.balls}."
                )
    due = {one.code: one for group in request.groups for one in request.due(group)}
    for one in due.values():
        for needed, there, thing in (
            (one.hoops, floor.hoops, "hoop"),
            (one.tables, floor.tables, "table"),
            (one.sockets, floor.sockets, "socket"),
        ):
            if there is not None and needed > there:
                is_there = "there is 1" if there == 1 else f"there are {there or 'none'}"
                yield f"{one.name} needs {amount_words(needed, thing)}, and {is_there}."
        if one.skill and request.adults and not any(adult.can(one.skill) for adult in request.adults):
            yield f"{one.name} needs an adult as {one.skill}, and nobody there is one."


def _about_time(request: Request) -> Iterator[str]:
    due = {one.code: one for group in request.groups for one in request.due(group)}
    if due and not slot_lengths(request):
        longest = max(due.values(), key=lambda one: one.least_minutes)
        shortest = min(due.values(), key=lambda one: one.most_minutes)
        yield (
            f"{longest.name} takes at least {longest.least_minutes} minutes and {shortest.name} at most "
            f"{shortest.most_minutes}; all groups change together, so they can't be at the same clinic."
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
            yield (
                f"With water at least every {request.water_every} minutes no slot is short enough. "
                "Choose shorter activities, or let the water be further apart."
            )
        else:
            yield (
                f"Everything that has to happen takes at least {needed} minutes with changing over and water, and "
                f"there are {request.minutes}."
            )


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
            found.append(Change(kind.words(amount), ((kind.what, amount),)))
    stem = [one for one in request.stations if one.kind == "stem" and one.code not in request.optional]
    for one in request.stations:
        last_stem = request.stem and stem == [one]
        if one.code in request.optional or last_stem or len(request.stations) == 1:
            continue
        if works(with_change(request, "leave out", one.code)):
            found.append(Change(f"leaving out {one.name}", (("leave out", one.code),)))
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
    parts = [(kind, amounts[kind.what]) for kind in kinds if amounts[kind.what]]
    words = " and ".join(kind.words(amount) for kind, amount in parts)
    return [Change(words, tuple((kind.what, amount) for kind, amount in parts))]


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


def what_binds(request: Request, changes: list[Change]) -> str:
    """Say in one sentence what stands against a plan when some plan keeps each limit and none keeps all of them."""
    names = {kind.what: kind.limit for kind in _kinds(request)}
    alone = [names[change.parts[0][0]] for change in changes if change.parts[0][0] in names and len(change.parts) == 1]
    groups = len(request.groups)
    start = f"No plan takes {groups} {'group' if groups == 1 else 'groups'} to every station"
    if alone:
        return f"{start}: what stands against it is {_listed(alone)}."
    return f"{start} with {len(request.adults)} adults, {request.floor.hoops} hoops and {request.minutes} minutes."


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
