"""Walks around the hall that never go further than to the next station: the fewest steps there can be."""

from __future__ import annotations

from itertools import combinations

from clinics.rules.rotation.facts import Group, Request
from clinics.rules.rotation.measures import seen_by

__all__ = ["MOST_WALKS", "Walk", "short_walks"]

MOST_WALKS = 1200  # of one group; beyond, nobody looks at them one by one

# The station's code in each slot; None: waiting.
Walk = tuple[str | None, ...]


def short_walks(request: Request, group: Group, rotations: int, length: int, gained: int) -> list[Walk] | None:
    """Every walk of the group with as few steps as ``fewest_steps`` counts for it; None where those are too many."""
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
