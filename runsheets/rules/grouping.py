"""Groups of children who go round together: near in age, alike in number, those who asked kept together.

Common practice, no source; the group caps come from the table of ratios (clinics/rules/supervision.py).
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from clinics.rules.supervision import RATIO_TABLES, RatioTable

__all__ = ["Child", "FormedGroup", "Grouping", "make_groups"]

MOST = 10  # children in a group where nothing says otherwise: what most stations take


@dataclass(frozen=True, slots=True)
class Child:
    """A child as grouping sees it: age in completed years, and whether it plays with the advanced."""

    id: Hashable
    age: int
    advanced: bool = False


@dataclass(frozen=True, slots=True)
class FormedGroup:
    """``why``: a sentence on how the group came about."""

    code: str
    children: tuple[Hashable, ...]
    youngest: int
    oldest: int
    advanced: bool
    why: str


@dataclass(frozen=True, slots=True)
class Grouping:
    """``cost``: what was made smallest, see ``make_groups``. ``notes``: what was asked for and what it led to."""

    groups: tuple[FormedGroup, ...]
    cost: int
    notes: tuple[str, ...]


_Unit = tuple[Child, ...]


def make_groups(
    children: Sequence[Child],
    groups: int | None = None,
    *,
    together: Collection[Collection[Hashable]] = (),
    advanced_apart: bool = True,
    most: int = MOST,
    ratio: RatioTable = RATIO_TABLES["aca_day_camp"],
) -> Grouping:
    """Form groups by age: ``groups`` of them, or the fewest that ``most`` and the ratio's caps allow.

    The children named together in ``together`` (brothers and sisters, friends) stay in one group. Children are put in
    order of age, those kept together as one at the age of their youngest. This row is cut into groups so that the sum
    of (children of the group)² + (oldest - youngest)² is least: groups are alike in number first, then near in age, and
    a year counts like one child too many. The cut is the best of all cuts of that row. Advanced children have groups of
    their own, unless they are kept together with one who is not. The same children give the same groups in any order.

    Raises ValueError for no children, a child given twice, somebody unknown to keep together, more kept together
    than a group may hold, and a number of groups that can't be.
    """
    if not children:
        raise ValueError("There are no children yet, so there are no groups to make.")
    if most < 1:
        raise ValueError("A group holds at least 1 child.")
    if groups is not None and not 1 <= groups <= len(children):
        raise ValueError(f"{len(children)} children can't make {groups} groups. Choose 1 to {len(children)}.")
    units = _units(children, together)
    for unit in units:
        cap = _cap(unit, most, ratio)
        if len(unit) > cap:
            raise ValueError(
                f"{len(unit)} children want to stay together and a group of their age holds at most {cap}. "
                "Ask them to be two groups."
            )
    pools = [units]
    if advanced_apart:
        pools = [[u for u in units if not _advanced(u)], [u for u in units if _advanced(u)]]
    tables = [_cuts(pool, most, ratio) for pool in pools if pool]
    kept = [pool for pool in pools if pool]
    number, cost, cuts = _choose(tables, groups, len(children))
    formed: list[FormedGroup] = []
    for pool, ends in zip(kept, cuts, strict=True):
        for begin, end in pairwise((0, *ends)):
            formed.append(_formed(len(formed), pool[begin:end], advanced_apart))
    notes = [f"{len(children)} children in {number} {'group' if number == 1 else 'groups'}."]
    if any(len(unit) > 1 for unit in units):
        notes.append(f"{sum(len(unit) > 1 for unit in units)} kept together as asked.")
    mixed = sum(child.advanced for unit in units if not _advanced(unit) for child in unit)
    if advanced_apart and mixed:
        notes.append(f"{mixed} advanced stay with somebody who is not, as asked, so not in an advanced group.")
    return Grouping(tuple(formed), cost, tuple(notes))


def _key(child: Child) -> tuple[int, bool, str]:
    return child.age, child.advanced, str(child.id)


def _units(children: Sequence[Child], together: Collection[Collection[Hashable]]) -> list[_Unit]:
    """Children who stay together, directly or through another, as one; the row in order of the youngest's age."""
    by_id = {child.id: child for child in children}
    if len(by_id) < len(children):
        raise ValueError("A child is there twice. Give each once.")
    root = {one: one for one in by_id}

    def find(one: Hashable) -> Hashable:
        while root[one] != one:
            one = root[one]
        return one

    for some in together:
        for one in some:
            if one not in by_id:
                raise ValueError(f"{one} is asked to stay with others and is not among the children.")
        for one, other in pairwise(some):
            root[find(one)] = find(other)
    found: dict[Hashable, list[Child]] = {}
    for child in sorted(children, key=_key):
        found.setdefault(find(child.id), []).append(child)
    return sorted((tuple(unit) for unit in found.values()), key=lambda unit: [_key(child) for child in unit])


def _advanced(unit: _Unit) -> bool:
    return all(child.advanced for child in unit)


def _cap(children: Sequence[Child], most: int, ratio: RatioTable) -> int:
    """Most children in a group with these, by the strictest row of any of their ages."""
    caps = [ratio.row_for(age).group_cap for age in {child.age for child in children}]
    return min([most, *(cap for cap in caps if cap is not None)])


def _cuts(units: Sequence[_Unit], most: int, ratio: RatioTable) -> dict[int, tuple[int, tuple[int, ...]]]:
    """For each number of groups that can be: the least cost, and where the row is cut."""
    best: list[dict[int, tuple[int, tuple[int, ...]]]] = [{0: (0, ())}]
    for end in range(1, len(units) + 1):
        here: dict[int, tuple[int, tuple[int, ...]]] = {}
        for begin in range(end - 1, -1, -1):
            group = [child for unit in units[begin:end] for child in unit]
            if len(group) > _cap(group, most, ratio):
                break
            ages = [child.age for child in group]
            cost = len(group) ** 2 + (max(ages) - min(ages)) ** 2
            for count, (before, ends) in best[begin].items():
                option = (before + cost, (*ends, end))
                if count + 1 not in here or option < here[count + 1]:
                    here[count + 1] = option
        best.append(here)
    return best[-1]


def _choose(
    tables: Sequence[dict[int, tuple[int, tuple[int, ...]]]], groups: int | None, children: int
) -> tuple[int, int, list[tuple[int, ...]]]:
    """How many groups each part of the row makes: the number asked for, else the fewest; then the least cost."""
    options: list[tuple[int, int, list[tuple[int, ...]]]] = [(0, 0, [])]
    for table in tables:
        options = [
            (count + more, cost + extra, [*cuts, ends])
            for count, cost, cuts in options
            for more, (extra, ends) in table.items()
        ]
    fits = [option for option in options if groups is None or option[0] == groups]
    if not fits:
        numbers = sorted({option[0] for option in options})
        raise ValueError(
            f"{children} children can't make {groups} groups here: with those kept together or apart and the most "
            f"that a group holds it takes {numbers[0]} to {numbers[-1]}."
        )
    return min(fits)


def _formed(number: int, units: Sequence[_Unit], advanced_apart: bool) -> FormedGroup:
    group = sorted((child for unit in units for child in unit), key=_key)
    ages = [child.age for child in group]
    advanced = advanced_apart and all(child.advanced for child in group)
    several = sum(len(unit) > 1 for unit in units)
    years = f"aged {min(ages)}" if min(ages) == max(ages) else f"aged {min(ages)} to {max(ages)}"
    why = f"{len(group)} {'child' if len(group) == 1 else 'children'} {years}"
    why += ", all advanced" if advanced else ""
    why += f"; {several} kept together as asked" if several else ""
    return FormedGroup(_letters(number), tuple(child.id for child in group), min(ages), max(ages), advanced, f"{why}.")


def _letters(number: int) -> str:
    """A, B ... Z, AA, AB ..."""
    word = ""
    number += 1
    while number:
        number, place = divmod(number - 1, 26)
        word = chr(ord("A") + place) + word
    return word
