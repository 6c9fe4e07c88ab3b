"""When what happens: opener, stations, games and closer with the water between, for each number and length of slots."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from runsheets.rules.activities import Activity
from runsheets.rules.rotation.active import active_seconds, space_turns
from runsheets.rules.rotation.facts import Request

__all__ = ["Item", "Timeline", "slot_lengths", "timelines", "visits_needed"]


@dataclass(frozen=True, slots=True)
class Item:
    """One stretch of the whole space (``activity``) or one slot of the stations (None). Minutes from the start."""

    kind: str
    activity: Activity | None
    start: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Timeline:
    """``rotations`` slots of ``length`` minutes each. ``space_active``: seconds active per child elsewhere."""

    rotations: int
    length: int
    items: tuple[Item, ...]
    spare: int
    space_active: int


def visits_needed(request: Request) -> int:
    """A number of slots that no plan is below: each group has all its stations, and each station all its groups.

    A station takes as many groups at once as its smallest ones fill it, so it runs in at least so many slots.
    """
    least = max((len(request.due(group)) for group in request.groups), default=0)
    hoops = adults = 0
    for one in request.stations:
        sizes = sorted(group.children for group in request.groups if one in request.due(group))
        if not sizes:
            continue
        together = max(1, sum(sum(sizes[: n + 1]) <= one.group_size for n in range(len(sizes))))
        runs = -(-len(sizes) // together)
        least = max(least, runs)
        hoops += one.hoops * runs
        adults += max(1, one.adults) * runs
    if request.floor.hoops:
        least = max(least, -(-hoops // request.floor.hoops))
    return max(least, -(-adults // max(1, len(request.adults))))


def slot_lengths(request: Request) -> range:
    """The minutes that a slot may last so that it suits every station which must be had; all slots are equally long."""
    due = {one.code: one for group in request.groups for one in request.due(group)}
    if not due:
        return range(1, 2)
    return range(max(one.least_minutes for one in due.values()), min(one.most_minutes for one in due.values()) + 1)


def timelines(request: Request, *, shortest_only: bool = False) -> Iterator[Timeline]:
    """Lay out one timeline for each number and length of slots that fit, with the most active minutes elsewhere.

    With ``shortest_only`` only the shortest slots of each number, which fit whenever longer ones do.
    """
    needed = visits_needed(request)
    most = sum(len(request.due(group)) + len(request.open_to(group)) for group in request.groups)
    for rotations in range(needed, most + 1):
        fits = False
        for length in slot_lengths(request) if rotations else range(1, 2):
            best = _best(request, rotations, length, shortest_only)
            if best is None:
                break
            fits = True
            yield best
            if shortest_only:
                break
        if not fits:
            return


def _best(request: Request, rotations: int, length: int, shortest_only: bool) -> Timeline | None:
    openers, games, closers = (request.of_kind(kind) for kind in ("opener", "game", "closer"))
    opener = openers[0] if openers else None
    closer = closers[0] if closers else None
    opening = range(opener.least_minutes, opener.most_minutes + 1) if opener else range(1)
    stretch = max((game.most_minutes - game.least_minutes for game in games), default=0)
    found: Timeline | None = None
    for begin in opening:
        for more in range(stretch + 1):
            plan: list[tuple[str, Activity | None, int]] = [("opener", opener, begin)] if opener else []
            plan += [("rotation", None, length)] * rotations
            plan += [("game", game, min(game.least_minutes + more, game.most_minutes)) for game in games]
            plan += [("closer", closer, closer.least_minutes)] if closer else []
            line = _lay(request, rotations, length, plan)
            if line is None:
                break
            if found is None or line.space_active > found.space_active:
                found = line
            if shortest_only:
                return found
    return found


def _lay(
    request: Request, rotations: int, length: int, plan: list[tuple[str, Activity | None, int]]
) -> Timeline | None:
    """Water as late as it may be, which takes the fewest breaks; None when the minutes or the thirst don't allow it.

    What is left over goes to the closing circle up to its most, then stays free at the end.
    """
    water = request.of_kind("water")[0]
    items: list[Item] = []
    now, drank = 0, -request.since_water
    for number, (kind, one, minutes) in enumerate(plan):
        last = number == len(plan) - 1
        # Something follows whatever is not last, so its water comes a changeover later at the soonest.
        after = 0 if last else request.changeover
        begins = now + request.changeover if items else 0
        if begins + minutes + after - drank > request.water_every:
            items.append(Item("water", water, begins, water.least_minutes))
            now = drank = begins + water.least_minutes
            begins = now + request.changeover
            if begins + minutes + after - drank > request.water_every:
                return None
        items.append(Item(kind, one, begins, minutes))
        now = begins + minutes
    left = request.minutes - now
    if left < 0:
        return None
    if items and items[-1].activity is not None and items[-1].kind == "closer":
        end = items[-1]
        assert end.activity is not None
        more = min(left, end.activity.most_minutes - end.minutes, request.water_every - (now - drank))
        items[-1] = Item(end.kind, end.activity, end.start, end.minutes + more)
        left -= more
    active = sum(
        active_seconds(
            item.activity,
            request.children,
            item.minutes,
            space_turns(item.activity, request.floor, request.children),
        )
        for item in items
        if item.activity is not None and item.activity.moving
    )
    return Timeline(rotations, length, tuple(items), left, active)
