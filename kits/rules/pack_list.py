"""What goes into the bag for a clinic, and what is short.

Ball sizes follow equipment.py, child by child; from 12 the guideline names two sizes (girls 6, boys 7) and nothing is
recorded of either, so half are counted at each, an odd one at size 6. How many of a thing for how many children, and
how many spare, are numbers of the house (a kit's kind); STANDARD holds where a kit has no kind: common practice, no
source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from clinics.rules.equipment import equipment_for

__all__ = [
    "STANDARD",
    "AskLine",
    "PackLine",
    "asked",
    "ball_sizes",
    "compare",
    "pack_list",
    "spread_ages",
]


@dataclass(frozen=True, slots=True)
class AskLine:
    """One thing a kind of kit asks for: one for so many children, or a fixed number where ``per_children`` is None.

    With ``per_children`` the ``number`` is the least there must be. ``sized`` names the ball size of each child's age.
    Ages are inclusive; a spare share is counted before a spare number.
    """

    item: str
    per_children: int | None = None
    number: int = 0
    from_age: int | None = None
    to_age: int | None = None
    spare_percent: int = 0
    spare_count: int = 0
    sized: bool = False
    stem_only: bool = False


@dataclass(frozen=True, slots=True)
class PackLine:
    """``sheet``: what the run sheet needs at the same time, which is in ``needed`` where it is more."""

    item: str
    needed: int
    have: int
    sheet: int = 0

    @property
    def more_for_sheet(self) -> bool:
        return self.sheet > 0 and self.sheet == self.needed

    @property
    def short(self) -> int:
        return max(0, self.needed - self.have)


STANDARD = (
    AskLine("ball", per_children=1, spare_percent=10, sized=True),
    AskLine("cone", per_children=2, number=10),
    AskLine("pinnie", per_children=2, spare_percent=10),
    AskLine("laptop", per_children=2, stem_only=True),
    AskLine("first-aid pouch", number=1),
)


def spread_ages(bands: Sequence[tuple[int, int, int]]) -> list[int]:
    """Make up an age for each expected child of (youngest, oldest, children): evenly over the band, the younger first.

    Raises ValueError for ages out of order or a negative number.
    """
    ages: list[int] = []
    for youngest, oldest, count in bands:
        if youngest > oldest or count < 0:
            raise ValueError(f"Ages {youngest} to {oldest} with {count} children: check the ages and the number.")
        each, over = divmod(count, oldest - youngest + 1)
        for place, age in enumerate(range(youngest, oldest + 1)):
            ages += [age] * (each + (place < over))
    return ages


def asked(lines: Sequence[AskLine], ages: Sequence[int], stem: bool) -> dict[str, int]:
    """Count how many of each item the lines ask for children of ``ages``; for nobody they ask nothing.

    Two lines of one item add up.
    """
    needed: Counter[str] = Counter()
    for line in lines:
        if line.stem_only and not stem:
            continue
        own = [age for age in ages if _within(line, age)]
        if not own:
            continue
        if line.sized:
            for size, children in sorted(ball_sizes(own).items()):
                needed[f"{line.item}, size {size}"] += _amount(line, children)
        else:
            needed[line.item] += _amount(line, len(own))
    return {item: count for item, count in needed.items() if count}


def compare(
    needed: Mapping[str, int], contents: Mapping[str, int], sheet: Mapping[str, int] | None = None
) -> list[PackLine]:
    """Put what is needed beside what is there. What the kit holds beyond that follows, with nothing needed.

    ``sheet`` is what the run sheet needs. Of an item that both ask for, the larger number is packed and not the sum,
    since the same balls serve both. Names are compared without regard to capitals and outer spaces.
    """
    have: Counter[str] = Counter()
    for item, count in contents.items():
        have[_key(item)] += count
    named = {_key(item): item for item in needed}
    wants = {named.get(_key(item), item): count for item, count in (sheet or {}).items()}
    items = [*needed, *(item for item in wants if item not in needed)]
    lines = [
        PackLine(item, max(needed.get(item, 0), wants.get(item, 0)), have[_key(item)], wants.get(item, 0))
        for item in items
    ]
    wanted = {_key(item) for item in items}
    return lines + [PackLine(item, 0, count) for item, count in sorted(contents.items()) if _key(item) not in wanted]


def pack_list(
    bands: Sequence[tuple[int, int, int]],
    stem: bool,
    contents: Mapping[str, int],
    lines: Sequence[AskLine] = STANDARD,
) -> list[PackLine]:
    """Make the pack list for bands of (youngest, oldest, children). ``contents``: how many of each item the kit holds.

    Raises ValueError for ages out of order or a negative number.
    """
    return compare(asked(lines, spread_ages(bands), stem), contents)


def _key(item: str) -> str:
    return item.strip().casefold()


def _within(line: AskLine, age: int) -> bool:
    return (line.from_age is None or age >= line.from_age) and (line.to_age is None or age <= line.to_age)


def _amount(line: AskLine, children: int) -> int:
    # In whole numbers, since 20 times 1.1 is a little more than 22 in floating point and would round up to 23.
    if line.per_children is None:
        return -(-line.number * (100 + line.spare_percent) // 100) + line.spare_count
    share = -(-children * (100 + line.spare_percent) // (line.per_children * 100))
    return max(line.number, share + line.spare_count)


def ball_sizes(ages: Sequence[int]) -> Counter[int]:
    """Count how many of the children play with each ball size."""
    by_fit: Counter[tuple[int, ...]] = Counter(equipment_for(min(age, 18)).ball_sizes for age in ages)
    sizes: Counter[int] = Counter()
    for fit, children in by_fit.items():
        each, over = divmod(children, len(fit))
        for place, size in enumerate(fit):
            sizes[size] += each + (place < over)
    return +sizes
