"""Why a position stays open and what would help least dearly; and why somebody was not asked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shifts.rules.eligibility import Reason, reasons_against
from shifts.rules.matching.facts import Options, Person, Plan, Position
from shifts.rules.matching.pairs import (
    Block,
    Change,
    apply,
    candidacy,
    engagement,
    lifted,
    load_minutes,
    wanted,
)
from shifts.rules.matching.plan import match

__all__ = ["Instead", "NearMiss", "blocks_in_plan", "near_misses", "why_not_asked"]

# Beyond this many positions the plan with the one person added is proof enough that a plan fills more.
RE_SOLVE_UP_TO = 150


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A person whom a single reason keeps from an open position, and the change that lifts it."""

    person: int
    block: Block
    change: Change


@dataclass(frozen=True, slots=True)
class Instead:
    """Nothing is against the person; what the plan does with the position instead.

    ``code``: "nobody" is put there, somebody "accepted" it or was "asked" already, or the plan is "better". ``name``:
    whom the plan puts there; "" when nobody is, or when nobody here knows who that is.
    """

    code: str
    name: str = ""


def near_misses(
    positions: Sequence[Position], people: Sequence[Person], options: Options, plan: Plan, position: int, most: int = 4
) -> list[NearMiss]:
    """Find people whom one change would free for an open position, the cheapest change first, at most ``most`` of them.

    Each is checked by solving again. Empty when the plan fills the position, or when nobody is one change away.
    """
    if position in plan.placements:
        return []
    target = next(one for one in positions if one.id == position)
    found = []
    for person in people:
        against = blocks_in_plan(person, target, positions, people, options, plan)
        if len(against) == 1 and against[0].change is not None:
            found.append(NearMiss(person.id, against[0], against[0].change))
    found.sort(key=lambda miss: (miss.change.cost, miss.person))
    proven: list[NearMiss] = []
    for miss in found:
        if len(proven) == most:
            break
        if frees(positions, people, options, plan, target, miss.change):
            proven.append(miss)
    return proven


def frees(
    positions: Sequence[Position],
    people: Sequence[Person],
    options: Options,
    plan: Plan,
    target: Position,
    change: Change,
) -> bool:
    """Whether a plan with the change fills more positions than ``plan``; the search begins from ``plan``."""
    changed = [apply(person, change) if person.id == change.person else person for person in people]
    if len(positions) > RE_SOLVE_UP_TO:
        person = next(one for one in changed if one.id == change.person)
        return not blocks_in_plan(person, target, positions, changed, options, plan)
    start = {pk: placement.person for pk, placement in plan.placements.items()} | {target.id: change.person}
    again = match(positions, changed, replace(options, fill_only=True, seconds=5.0), start=start)
    return again.objectives[0].value < plan.objectives[0].value


def blocks_in_plan(
    person: Person,
    target: Position,
    positions: Sequence[Position],
    people: Sequence[Person],
    options: Options,
    plan: Plan,
) -> list[Block]:
    """List every reason against the person taking ``target`` while everybody else stays where the plan has them."""
    by_id = {one.id: one for one in positions}
    mine = [by_id[pk] for pk, placement in plan.placements.items() if placement.person == person.id and pk != target.id]
    that_month = [one for one in mine if one.month == target.month]
    there = {p.person for pk, p in plan.placements.items() if by_id[pk].clinic == target.clinic} - {person.id}
    alone = candidacy(person, target, options)
    placed = replace(
        alone,
        engagements=[*alone.engagements, *(engagement(one, target, options) for one in mine)],
        shifts=alone.shifts + len(that_month),
        hours=alone.hours + sum(load_minutes(person, one, options) for one in that_month) / 60,
        asked=sum(person.id not in (one.accepted, one.asked) for one in mine),
        apart=_apart(person, there, people),
    )
    return [Block(reason, lifted(person, target, reason)) for reason in reasons_against(wanted(target), placed)]


def _apart(person: Person, there: set[int], people: Sequence[Person]) -> list[str]:
    """Who of those there is kept apart from somebody, whichever of the two says so."""
    named = {one.id: one for one in people}
    apart = [pk for pk in sorted(there) if pk in person.apart or (pk in named and person.id in named[pk].apart)]
    return [named[pk].name if pk in named else "" for pk in apart]


def why_not_asked(
    person: Person,
    positions: Sequence[Position],
    people: Sequence[Person],
    options: Options,
    plan: Plan,
) -> list[tuple[int, list[Reason] | Instead]]:
    """Say why the plan gives the person none of the other positions of their duties.

    By position: the reasons against them, or who was chosen instead.
    """
    names = {one.id: one.name for one in people}
    lines: list[tuple[int, list[Reason] | Instead]] = []
    for position in positions:
        placement = plan.placements.get(position.id)
        if position.duty not in person.duties or (placement and placement.person == person.id):
            continue
        against = blocks_in_plan(person, position, positions, people, options, plan)
        chosen = names.get(placement.person, "") if placement else ""
        instead = Instead(_instead(position, placement is not None), chosen)
        lines.append((position.id, [one.reason for one in against] or instead))
    order: dict[int, int] = defaultdict(int, {one.id: number for number, one in enumerate(positions)})
    return sorted(lines, key=lambda line: order[line[0]])


def _instead(position: Position, chosen: bool) -> str:
    if not chosen:
        return "nobody"
    if position.accepted is not None:
        return "accepted"
    return "asked" if position.asked is not None else "better"
