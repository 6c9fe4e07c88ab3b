"""What a run sheet asks to be packed: balls by size of stations that run at the same time, and each activity's things.

Of balls, the most that are out in any one slot. What stands at a station once stands there all day, so stations add up
and what the whole space does at another time shares it; what is used up by each group or child adds up over everybody
who comes. Sizes follow equipment.py; where a station's balls are for turns and not for each child, its group's sizes
share them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kits.rules.pack_list import ball_sizes
from runsheets.rules.activities import Activity
from runsheets.rules.rotation.active import balls_needed

__all__ = ["SheetSlot", "sheet_needs"]


@dataclass(frozen=True, slots=True)
class SheetSlot:
    """``stations``: group to the code of what it does; a code that is no activity is a group that waits."""

    whole_space: bool
    stations: Mapping[str, str]


def sheet_needs(
    activities: Sequence[Activity], slots: Sequence[SheetSlot], ages: Mapping[str, Sequence[int]], hoops: int
) -> dict[str, int]:
    """Count how many of each item a sheet needs.

    ``ages`` maps each group to an age for each of its children; ``hoops`` are those of the floor.
    """
    by_code = {one.code: one for one in activities}
    balls: Counter[str] = Counter()
    came: dict[str, list[str]] = {}
    for slot in slots:
        at: dict[str, list[str]] = {}
        for group, code in slot.stations.items():
            if code in by_code:
                at.setdefault(code, []).append(group)
        out: Counter[str] = Counter()
        for code, groups in at.items():
            out += _balls(by_code[code], [age for group in groups for age in ages.get(group, ())], slot, hoops)
            # The whole space drinks again and again, and a group that comes back is the same group.
            came.setdefault(code, []).extend(group for group in groups if group not in came.get(code, []))
        for item, count in out.items():
            balls[item] = max(balls[item], count)
    return {item: count for item, count in (balls + _things(by_code, came, ages)).items() if count}


def _balls(one: Activity, ages: Sequence[int], slot: SheetSlot, hoops: int) -> Counter[str]:
    sizes = ball_sizes(ages)
    out = Counter({_ball(size): one.balls_each * children for size, children in sizes.items()})
    if one.balls and ages:
        turns = balls_needed(one, len(ages)) - one.balls_each * len(ages)
        if slot.whole_space and one.hoops:
            # A set of hoops each, but no more turns than the children make.
            running = min(one.turns_at_once * (hoops // one.hoops), -(-len(ages) // one.players))
            turns = one.balls * running
        out += Counter({_ball(size): count for size, count in _shared(turns, sizes).items()})
    return +out


def _shared(balls: int, sizes: Mapping[int, int]) -> dict[int, int]:
    """So many balls among sizes by how many children have each; what is left goes to the largest parts left over."""
    children = sum(sizes.values())
    parts = {size: balls * count // children for size, count in sizes.items()}
    rest = sorted(sizes, key=lambda size: (-(balls * sizes[size] % children), size))
    for size in rest[: balls - sum(parts.values())]:
        parts[size] += 1
    return parts


def _things(
    by_code: Mapping[str, Activity], came: Mapping[str, Sequence[str]], ages: Mapping[str, Sequence[int]]
) -> Counter[str]:
    spelled: dict[str, str] = {}
    used: Counter[str] = Counter()
    stays: Counter[str] = Counter()
    shared: Counter[str] = Counter()
    for code, groups in came.items():
        one = by_code[code]
        for thing in one.packed:
            name = spelled.setdefault(thing.name.casefold(), thing.name)
            if thing.per == "once":
                if one.whole_space:
                    shared[name] = max(shared[name], thing.amount)
                else:
                    stays[name] += thing.amount
            else:
                many = len(groups) if thing.per == "group" else sum(len(ages.get(group, ())) for group in groups)
                used[name] += thing.amount * many
    return used + (stays | shared)


def _ball(size: int) -> str:
    return f"ball, size {size}"
