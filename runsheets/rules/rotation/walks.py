"""How groups walk around the space, and walks that never go further than to the next station: the fewest steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any

from runsheets.rules.rotation.facts import Group, Request
from runsheets.rules.rotation.measures import ring_steps, seen_by

__all__ = ["MOST_WALKS", "Walk", "choose_walk", "count_steps", "short_walks"]

MOST_WALKS = 1200  # of one group; beyond, nobody looks at them one by one

# The station's code in each slot; None: waiting.
Walk = tuple[str | None, ...]
At = Mapping[tuple[int, int, str], Any]
Waits = Mapping[tuple[int, int], Any]


def short_walks(request: Request, group: Group, rotations: int, length: int, gained: int) -> list[Walk] | None:
    """List every walk of the group that has as few steps as ``fewest_steps`` counts for it; None for too many walks."""
    codes = [one.code for one in request.stations]
    due = {one.code for one in request.due(group)}
    free = {one.code for one in request.open_to(group) if one.least_minutes <= length <= one.most_minutes}
    seen = seen_by(request, group, rotations, length, gained)
    tours = dict.fromkeys(
        tuple(codes[(first + way * step) % len(codes)] for step in range(seen))
        for first in range(len(codes))
        for way in (1, -1)
    )
    fitting = [tour for tour in tours if due <= set(tour) <= due | free and len(set(tour)) == seen]
    walks: list[Walk] = []
    for tour in fitting:
        for slots in combinations(range(rotations), seen):
            walk: list[str | None] = [None] * rotations
            for slot, code in zip(slots, tour, strict=True):
                walk[slot] = code
            walks.append(tuple(walk))
            if len(walks) > MOST_WALKS:
                return None
    return walks


def choose_walk(model: Any, number: int, walks: Sequence[Walk], at: At, waits: Waits) -> None:
    """Tell the model that the group takes one of the walks, which says where it is in each slot."""
    chosen = [model.new_bool_var("") for _ in walks]
    model.add_exactly_one(chosen)
    codes = {code for group, _, code in at if group == number}
    for slot in sorted(slot for group, slot in waits if group == number):
        here: dict[str | None, list[Any]] = {}
        for walk, variable in zip(walks, chosen, strict=True):
            here.setdefault(walk[slot], []).append(variable)
        model.add(waits[number, slot] == sum(here.get(None, [])))
        for code in sorted(codes):
            model.add(at[number, slot, code] == sum(here.get(code, [])))


def count_steps(
    model: Any, request: Request, number: int, group: Group, at: At, waits: Waits, rotations: int
) -> list[Any]:
    """The group's steps as terms of the model, one for each move that could be."""
    by_code = {one.code: one for one in request.stations}
    codes = [code for code in by_code if (number, 0, code) in at]
    if len(codes) < 2:
        return []
    slots = range(rotations)
    place = {(slot, code): model.new_bool_var("") for slot in slots for code in codes}
    for slot in slots:
        model.add_exactly_one(place[slot, code] for code in codes)
        for code in codes:
            model.add_implication(at[number, slot, code], place[slot, code])
            if slot:
                model.add_bool_or(~waits[number, slot], ~place[slot - 1, code], place[slot, code])
    steps = []
    for slot in slots[:-1]:
        # One move for each slot, out of where the group was and into where it goes: close to a shortest path.
        moves = {(here, there): model.new_bool_var("") for here in codes for there in codes}
        for code in codes:
            model.add(sum(moves[code, there] for there in codes) == place[slot, code])
            model.add(sum(moves[here, code] for here in codes) == place[slot + 1, code])
        steps += [
            ring_steps(request, by_code[here], by_code[there]) * variable
            for (here, there), variable in moves.items()
            if here != there
        ]
    # Known without search: each station after the first is at least one step away.
    seen = sum(at[number, slot, code] for slot in slots for code in codes)
    model.add(sum(steps) >= seen - 1)
    if request.due(group):
        model.add(sum(steps) >= len(request.due(group)) - 1)
    return steps
