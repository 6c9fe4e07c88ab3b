"""Groups of a run sheet: proposed, moved by hand, and carried over when spots have changed."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from clinics.rules.supervision import RatioTable
from core.rules.refused import Reason
from runsheets.rules.grouping import MOST, Child, Grouping, make_groups

__all__ = ["LETTERS", "SheetGroup", "carried_over", "groups_by_hand", "households", "proposed"]

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class SheetGroup:
    """``children``: numbers of children; empty where nobody has registered yet and only ages are known."""

    code: str
    children: tuple[int, ...]
    count: int
    youngest: int
    oldest: int
    advanced: bool = False


def households(guardians: Mapping[int, Collection[int]]) -> list[tuple[int, ...]]:
    """List the sets of two or more children who have a guardian in common, by the children's numbers."""
    by_guardian: dict[int, list[int]] = {}
    for child, some in guardians.items():
        for guardian in some:
            by_guardian.setdefault(guardian, []).append(child)
    return sorted({tuple(sorted(children)) for children in by_guardian.values() if len(children) > 1})


def proposed(
    children: Sequence[Child],
    *,
    number: int | None,
    together: Collection[Collection[int]],
    advanced_apart: bool,
    most: int,
    ratio: RatioTable,
) -> tuple[list[SheetGroup], tuple[Reason, ...]]:
    """Propose groups by the rule; returns them with its notes. Raises Refused where they can't be made."""
    found: Grouping = make_groups(
        children,
        number,
        together=together,
        advanced_apart=advanced_apart,
        most=min(most, MOST),
        ratio=ratio,
    )
    groups = [
        SheetGroup(
            one.code,
            tuple(int(pk) for pk in one.children if isinstance(pk, int)),
            len(one.children),
            one.youngest,
            one.oldest,
            one.advanced,
        )
        for one in found.groups
    ]
    return groups, found.notes


def groups_by_hand(children: Sequence[Child], chosen: Mapping[int, str], *, advanced_apart: bool) -> list[SheetGroup]:
    """Form the groups that somebody chose child by child, and close the gaps between their letters."""
    by_code: dict[str, list[Child]] = {}
    for child in children:
        by_code.setdefault(chosen[int(str(child.id))], []).append(child)
    groups = []
    for letter, code in zip(LETTERS, sorted(by_code), strict=False):
        mine = by_code[code]
        groups.append(
            SheetGroup(
                letter,
                tuple(int(str(child.id)) for child in mine),
                len(mine),
                min(child.age for child in mine),
                max(child.age for child in mine),
                advanced_apart and all(child.advanced for child in mine),
            )
        )
    return groups


def carried_over(
    children: Sequence[Child], before: Sequence[Mapping[str, Any]], *, advanced_apart: bool
) -> dict[int, str]:
    """Give each child a group: the one it was in, or else the one nearest in age, the smallest of equals."""
    code_of = {pk: str(one["code"]) for one in before for pk in one["children"]}
    chosen = {int(str(child.id)): code_of[int(str(child.id))] for child in children if child.id in code_of}
    size = {str(one["code"]): sum(code == one["code"] for code in chosen.values()) for one in before}
    for child in children:
        if child.id in code_of:
            continue

        def far(one: Mapping[str, Any], child: Child = child) -> tuple[bool, int, int, str]:
            apart = advanced_apart and bool(one["advanced"]) != child.advanced
            years = max(one["youngest"] - child.age, child.age - one["oldest"], 0)
            return apart, years, size[str(one["code"])], str(one["code"])

        nearest = str(min(before, key=far)["code"])
        chosen[int(str(child.id))] = nearest
        size[nearest] += 1
    return chosen
