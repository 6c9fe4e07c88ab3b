"""Two lines of a clinic's door that may be one child, and what phones and office have said of them."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from clinics.models import Clinic
from families.models import Child, Guardianship
from families.rules.spots import age_at
from floor.models import FloorDay
from floor.queries.log import children_of_walk_ins, floor_state
from floor.queries.page_children import floor_children
from floor.rules.floor_log import FloorState, words_on_pairs
from floor.rules.twins import DIFFER, Person, pairs_among

__all__ = ["TWIN_CONFLICTS", "TwinLine", "TwinPair", "open_twins", "twin_children", "twin_pairs"]

# Conflicts that are settled where the pair is, and not by choosing one of two entries.
TWIN_CONFLICTS = ("one child or two", "merged and apart")


@dataclass(frozen=True)
class TwinLine:
    """``child`` is the number in the books; ``guardians`` are names with phone numbers, where they were asked for."""

    who: str
    child: int
    name: str
    born: date
    age: int
    walked: bool
    guardians: tuple[str, ...] = ()


@dataclass(frozen=True)
class TwinPair:
    """``why``: a code of ``perhaps_one``. ``said``: "same", "apart", "differ" or ""."""

    one: TwinLine
    other: TwinLine
    why: str
    said: str

    @property
    def lines(self) -> tuple[TwinLine, TwinLine]:
        return self.one, self.other

    @property
    def numbers(self) -> tuple[int, int]:
        return self.one.child, self.other.child

    @property
    def differ(self) -> bool:
        return self.said == DIFFER

    @property
    def open(self) -> bool:
        """Nobody has said what holds, or one says this and another that."""
        return self.said in ("", DIFFER)


def twin_pairs(
    clinic: Clinic, state: FloorState, *, made: dict[str, int] | None = None, guardians: bool = False
) -> list[TwinPair]:
    """List all pairs of the clinic's door that may be one child, also those of whom it was said.

    ``made``: the children of walk-ins, when the caller has read them. None of it is a query where nobody walked in;
    otherwise four, and one more with ``guardians``.
    """
    if not state.walk_ins:
        return []
    lines = _lines(clinic, state, children_of_walk_ins(clinic) if made is None else made)
    found = pairs_among([Person(one.who, one.name, one.born.isoformat(), one.walked) for one in lines.values()])
    if not found:
        return []
    if guardians:
        lines = _with_guardians(lines, {who for one, other, _ in found for who in (one.who, other.who)})
    words = words_on_pairs(state.pairs)
    return [
        TwinPair(lines[one.who], lines[other.who], why, words.get(frozenset((one.who, other.who)), ""))
        for one, other, why in found
    ]


def open_twins(clinic: Clinic, state: FloorState, made: dict[str, int] | None = None) -> list[TwinPair]:
    """List the pairs that are still to be settled."""
    return [pair for pair in twin_pairs(clinic, state, made=made) if pair.open]


def twin_children(clinic: Clinic) -> Sequence[tuple[int, int]]:
    """The numbers of children who may be one, both on this clinic's list. Answers ``families.hooks.perhaps_one``."""
    # Written with the books, so that a list without such a pair costs one query.
    if not FloorDay.objects.filter(clinic=clinic).exclude(twins=[]).exists():
        return []
    return [pair.numbers for pair in open_twins(clinic, floor_state(clinic))]


def _lines(clinic: Clinic, state: FloorState, made: dict[str, int]) -> dict[str, TwinLine]:
    """By the number at the door, who walked in and then who is on the list, each once."""
    walked = {made[row.id]: who for who, row in state.walk_ins.items() if row.id in made}
    listed = [child for child in floor_children(clinic, state) if child.pk not in walked]
    people = Child.objects.known().defer("allergies", "care_notes").in_bulk(walked)
    rows = [(who, people[pk], True) for pk, who in walked.items() if pk in people]
    rows += [(f"c{child.pk}", child, False) for child in sorted(listed, key=lambda one: one.pk)]
    return {
        who: TwinLine(
            who, child.pk, child.name, child.birth_date, max(0, age_at(child.birth_date, clinic.day)), came_by_walking
        )
        for who, child, came_by_walking in rows
    }


def _with_guardians(lines: dict[str, TwinLine], whom: Collection[str]) -> dict[str, TwinLine]:
    numbers = {lines[who].child for who in whom}
    found: dict[int, list[str]] = {}
    for row in Guardianship.objects.filter(child__in=numbers).select_related("guardian").order_by("pk"):
        words = ", ".join(part for part in (row.guardian.name, row.guardian.phone or row.guardian.email) if part)
        found.setdefault(row.child_id, []).append(words)
    return {
        who: TwinLine(one.who, one.child, one.name, one.born, one.age, one.walked, tuple(found.get(one.child, ())))
        for who, one in lines.items()
    }
