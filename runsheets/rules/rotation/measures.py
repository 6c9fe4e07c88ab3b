"""What a plan amounts to, reckoned from the plan itself: the same aims the search works on, without a search."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from runsheets.rules.activities import Activity
from runsheets.rules.rotation.active import active_seconds
from runsheets.rules.rotation.cyclic import Visits
from runsheets.rules.rotation.facts import Group, Request

__all__ = ["fewest_steps", "most_alone", "ring_steps", "seconds_of", "seen_by", "steps_of"]


def ring_steps(request: Request, here: Activity, there: Activity) -> int:
    """Count the steps between two stations, the shorter way around the space; neighbors are one apart."""
    codes = [one.code for one in request.stations]
    apart = abs(codes.index(here.code) - codes.index(there.code))
    return min(apart, len(codes) - apart)


def seconds_of(request: Request, length: int, visits: Visits) -> list[int]:
    """By group, the seconds for which each of its children is active at the stations."""
    found = [0] * len(visits)
    for slot in range(len(visits[0])):
        for number, row in enumerate(visits):
            one = row[slot]
            if one is not None:
                together = sum(
                    group.children for other, group in zip(visits, request.groups, strict=True) if other[slot] == one
                )
                found[number] += active_seconds(one, together, length)
    return found


def steps_of(request: Request, visits: Visits) -> int:
    """Add up the steps of all groups; a group that waits stays where it was."""
    return sum(_walk(request, [one for one in row if one is not None]) for row in visits)


def _walk(request: Request, stations: Sequence[Activity]) -> int:
    return sum(ring_steps(request, here, there) for here, there in pairwise(stations))


def fewest_steps(request: Request, rotations: int, length: int, gained: int) -> int:
    """A number of steps that no plan with ``gained`` active child seconds is below.

    Each station after a group's first is at least one step away. Stations that a group must have are counted. When the
    gain is the greatest and every optional station adds to it, as many optional ones as there are slots for are counted
    too, since a plan with one less would gain less.
    """
    return sum(max(0, seen_by(request, group, rotations, length, gained) - 1) for group in request.groups)


def seen_by(request: Request, group: Group, rotations: int, length: int, gained: int) -> int:
    """How few stations the group can have in a plan with ``gained`` active child seconds."""
    seen, free = len(request.due(group)), _free(request, group, length)
    if gained == most_alone(request, rotations, length):
        worth = sum(active_seconds(one, group.children, length) > 0 for one in free)
        seen = min(rotations, seen + worth)
    return seen


def _free(request: Request, group: Group, length: int) -> list[Activity]:
    """Stations left open to a group that slots of this length suit."""
    return [one for one in request.open_to(group) if one.least_minutes <= length <= one.most_minutes]


def most_alone(request: Request, rotations: int, length: int) -> int:
    """Active child seconds at the stations if no group ever had to share a station, or to wait for one it must have.

    The sum of what each group could have at most, so a plan that reaches it gives each group exactly that.
    """
    total = 0
    for group in request.groups:
        due = request.due(group)
        free = _free(request, group, length)
        more = sorted((active_seconds(one, group.children, length) for one in free), reverse=True)
        seconds = sum(active_seconds(one, group.children, length) for one in due)
        total += group.children * (seconds + sum(more[: rotations - len(due)]))
    return total
