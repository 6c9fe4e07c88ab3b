"""What goes into the bag for a clinic, and what is short.

Ball sizes follow equipment.py. One ball a child, a cone for two children and ten at least, a pinnie for half of them,
a laptop for two where there is a STEM part, one first-aid pouch, a tenth more of what gets lost: common practice, no
source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from clinics.rules.equipment import equipment_for

__all__ = ["PackLine", "pack_list"]

SPARE = 0.1


@dataclass(frozen=True, slots=True)
class PackLine:
    item: str
    needed: int
    have: int

    @property
    def short(self) -> int:
        return max(0, self.needed - self.have)


def pack_list(bands: Sequence[tuple[int, int, int]], stem: bool, contents: Mapping[str, int]) -> list[PackLine]:
    """Lines for bands of (youngest, oldest, children); ``contents`` is what the kit holds, item to count.

    A band counts at the ball of its middle age. Items that the kit holds beyond the list follow it with nothing needed.
    Raises ValueError for ages out of order or a negative number.
    """
    needed: Counter[str] = Counter()
    children = 0
    for youngest, oldest, count in bands:
        if youngest > oldest or count < 0:
            raise ValueError(f"Ages {youngest} to {oldest} with {count} children can't be packed for.")
        size = equipment_for((youngest + oldest) // 2).ball_sizes[0]
        needed[f"ball, size {size}"] += count
        children += count
    if children:
        balls = {item: ceil(count * (1 + SPARE)) for item, count in needed.items()}
        needed = Counter(balls)
        needed["cone"] = max(10, ceil(children / 2))
        needed["pinnie"] = ceil(children / 2 * (1 + SPARE))
        if stem:
            needed["laptop"] = ceil(children / 2)
        needed["first-aid pouch"] = 1
    lines = [PackLine(item, count, contents.get(item, 0)) for item, count in needed.items()]
    return lines + [PackLine(item, 0, count) for item, count in sorted(contents.items()) if item not in needed]
