"""What an activity needs besides hoops, balls and tables, one item a line: "strip of foil: 2 per head".

"once" stands at the station all day, however many groups come; "per group" and "per head" are used up or handed out,
so every group, or every child who comes, has its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from core.rules.refused import Reason, Refused

__all__ = ["LONGEST_NAME", "MOST_OF_ONE_THING", "Per", "Thing", "parse_thing", "parse_things"]

Per = Literal["once", "group", "head"]

MOST_OF_ONE_THING = 999
LONGEST_NAME = 60
_ENDINGS: dict[str, Per] = {"once": "once", "per group": "group", "per head": "head"}


@dataclass(frozen=True, slots=True)
class Thing:
    """``name`` in the singular, as the pack list of a kit names it."""

    name: str
    amount: int
    per: Per

    @property
    def words(self) -> str:
        return f"{self.name}: {self.amount} {'once' if self.per == 'once' else f'per {self.per}'}"


def parse_thing(line: str) -> Thing:
    """Read one line. Raises Refused: no amount, long name, no ending or no number."""
    shown = " ".join(line.split())
    name, colon, rest = (part.strip() for part in shown.rpartition(":"))
    if not colon or not name:
        raise Refused.because("no amount", line=shown[:80])
    if len(name) > LONGEST_NAME:
        raise Refused.because("long name", name=name[:30], most=LONGEST_NAME)
    number, _, ending = rest.partition(" ")
    per = _ENDINGS.get(ending.strip().lower())
    if per is None:
        raise Refused.because("no ending", line=shown[:80])
    if not (number.isascii() and number.isdigit() and len(number) <= 6 and 1 <= int(number) <= MOST_OF_ONE_THING):
        raise Refused.because("no number", number=number[:20], name=name, most=MOST_OF_ONE_THING)
    return Thing(name, int(number), per)


def parse_things(lines: Sequence[str]) -> tuple[Thing, ...]:
    """Read every line that is not empty. Raises Refused with what is wrong with each, and for an item listed twice."""
    things: list[Thing] = []
    wrong: list[Reason] = []
    seen = set()
    for line in lines:
        if not line.strip():
            continue
        try:
            thing = parse_thing(line)
        except Refused as problem:
            wrong += problem.reasons
            continue
        if thing.name.casefold() in seen:
            wrong.append(Reason("listed twice", {"name": thing.name}))
        seen.add(thing.name.casefold())
        things.append(thing)
    if wrong:
        raise Refused(*wrong)
    return tuple(things)
