"""Groups of children who go round together: near in age, alike in number, those who asked kept together.

Common practice, no source; the group caps come from the table of ratios (clinics/rules/supervision.py).
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from clinics.rules.supervision import RATIO_TABLES, RatioTable
from core.rules.refused import Reason, Refused

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
    code: str
    children: tuple[Hashable, ...]
    youngest: int
    oldest: int
    advanced: bool


@dataclass(frozen=True, slots=True)
class Grouping:
    """``cost``: what was made smallest, see ``make_groups``. ``notes``: what was asked for and what it led to."""

    groups: tuple[FormedGroup, ...]
    cost: int
    notes: tuple[Reason, ...]


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

    Raises Refused: no children, too many groups, too many together, twice, not among them, or other number. ValueError
    for a group of fewer than 1.
    """
    if not children:
        raise Refused.because("no children")
    if most < 1:
        raise ValueError("A group holds at least 1 child.")
    if groups is not None and not 1 <= groups <= len(children):
        raise Refused.because("too many groups", children=len(children), groups=groups, most=len(children))
    units = _units(children, together)
    for unit in units:
        cap = _cap(unit, most, ratio)
        if len(unit) > cap:
            raise Refused.because("too many together", children=len(unit), most=cap)
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
    notes = [Reason("made", {"children": len(children), "groups": number})]
    if any(len(unit) > 1 for unit in units):
        notes.append(Reason("kept together", {"number": sum(len(unit) > 1 for unit in units)}))
    mixed = sum(child.advanced for unit in units if not _advanced(unit) for child in unit)
    if advanced_apart and mixed:
        notes.append(Reason("advanced among others", {"children": mixed}))
    return Grouping(tuple(formed), cost, tuple(notes))


def _key(child: Child) -> tuple[int, bool, str]:
    return child.age, child.advanced, str(child.id)


def _units(children: Sequence[Child], together: Collection[Collection[Hashable]]) -> list[_Unit]:
    """Children who stay together, directly or through another, as one; the row in order of the youngest's age."""
    by_id = {child.id: child for child in children}
    if len(by_id) < len(children):
        raise Refused.because("twice")
    root = {one: one for one in by_id}

    def find(one: Hashable) -> Hashable:
        while root[one] != one:
            one = root[one]
        return one

    for some in together:
        for one in some:
            if one not in by_id:
                raise Refused.because("not among them", child=str(one))
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
        raise Refused.because("other number", children=children, groups=groups, fewest=numbers[0], most=numbers[-1])
    return min(fits)


def _formed(number: int, units: Sequence[_Unit], advanced_apart: bool) -> FormedGroup:
    group = sorted((child for unit in units for child in unit), key=_key)
    ages = [child.age for child in group]
    advanced = advanced_apart and all(child.advanced for child in group)
    return FormedGroup(_letters(number), tuple(child.id for child in group), min(ages), max(ages), advanced)


def _letters(number: int) -> str:
    """A, B ... Z, AA, AB ..."""
    word = ""
    number += 1
    while number:
        number, place = divmod(number - 1, 26)
        word = chr(ord("A") + place) + word
    return word
