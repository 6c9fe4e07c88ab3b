"""A plan made simply: each group moves on one station, and waits where its next one has no room."""

from __future__ import annotations

from collections.abc import Sequence

from runsheets.rules.activities import Activity
from runsheets.rules.rotation.active import balls_needed
from runsheets.rules.rotation.facts import Group, Request

__all__ = ["Visits", "adults_at", "cyclic", "keeps_limits", "skills_met"]

# For each group, in the order of the request, its station in each slot; None: waiting.
Visits = list[list[Activity | None]]


def cyclic(request: Request, rotations: int, length: int) -> Visits | None:
    """Send each group, slot by slot of ``length`` minutes, to the next station around that is due and has room.

    A group takes optional stations on the way where everything it must have still comes round. None when some group has
    not had everything at the end. Every better plan is measured against this one.
    """
    suited = {one.code for one in request.stations if one.least_minutes <= length <= one.most_minutes}
    extra = request.optional & suited
    if extra and (visits := _around(request, rotations, extra)):
        return visits
    return _around(request, rotations, frozenset())


def _around(request: Request, rotations: int, extra: frozenset[str]) -> Visits | None:
    stations = request.stations
    left = [{one.code for one in request.due(group)} for group in request.groups]
    for here_left, group in zip(left, request.groups, strict=True):
        here_left |= {one.code for one in request.open_to(group) if one.code in extra}
    visits: Visits = [[] for _ in request.groups]
    for slot in range(rotations):
        here: list[Activity | None] = [None] * len(request.groups)
        for number in range(len(request.groups)):
            for step in range(len(stations)):
                one = stations[(number + slot + step) % len(stations)]
                if one.code not in left[number]:
                    continue
                here[number] = one
                if keeps_limits(request, here, waiting_too=False):
                    left[number].discard(one.code)
                    break
                here[number] = None
        if not keeps_limits(request, here):
            return None
        for number, chosen in enumerate(here):
            visits[number].append(chosen)
    return None if any(some - extra for some in left) else visits


def adults_at(request: Request, one: Activity | None, groups: Sequence[Group]) -> int:
    """How many adults a station needs, or the groups that wait (None): by the youngest's ratio and the activity."""
    children = sum(group.children for group in groups)
    if not children:
        return 0
    ratio = min(request.limit(group) for group in groups)
    return max(one.adults if one else 1, -(-children // ratio))


def skills_met(request: Request, used: Sequence[Activity]) -> bool:
    """Whether each station that asks for a skill can have an adult of its own with that skill (Hall's condition)."""
    asked = sorted({one.skill for one in used if one.skill})
    for mask in range(1, 1 << len(asked)):
        some = {skill for place, skill in enumerate(asked) if mask >> place & 1}
        able = sum(any(adult.can(skill) for skill in some) for adult in request.adults)
        if sum(one.skill in some for one in used) > able:
            return False
    return True


def keeps_limits(request: Request, here: Sequence[Activity | None], *, waiting_too: bool = True) -> bool:
    """Whether one slot keeps every limit of the floor, the stations and the adults."""
    at: dict[str, list[Group]] = {}
    by_code = {one.code: one for one in here if one}
    waits = []
    for group, one in zip(request.groups, here, strict=True):
        if one:
            at.setdefault(one.code, []).append(group)
        else:
            waits.append(group)
    floor, used = request.floor, list(by_code.values())
    size = {code: sum(group.children for group in groups) for code, groups in at.items()}
    # Those not placed yet count at their ratio each, so that placing goes on only while all can be looked after.
    adults = sum(adults_at(request, by_code[code], groups) for code, groups in at.items())
    adults += adults_at(request, None, waits) if waiting_too else 0
    return (
        all(size[one.code] <= one.group_size for one in used)
        and sum(one.hoops for one in used) <= floor.hoops
        and sum(balls_needed(one, size[one.code]) for one in used) <= floor.balls
        and (floor.tables is None or sum(one.tables for one in used) <= floor.tables)
        and (floor.sockets is None or sum(one.sockets for one in used) <= floor.sockets)
        and adults <= len(request.adults)
        and skills_met(request, used)
    )
