"""What an activity needs besides hoops, balls and tables, one thing a line: "strip of foil: 2 per head".

"once" stands at the station all day, however many groups come; "per group" and "per head" are used up or handed out,
so every group, or every child who comes, has its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

__all__ = ["MOST_OF_ONE_THING", "Per", "Thing", "parse_thing", "parse_things"]

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
    """Read one line. Raises ValueError with a sentence that says how to write it."""
    shown = " ".join(line.split())
    name, colon, rest = (part.strip() for part in shown.rpartition(":"))
    if not colon or not name:
        raise ValueError(f"“{shown[:80]}” names no amount. Write it like “strip of foil: 2 per head”.")
    if len(name) > LONGEST_NAME:
        raise ValueError(f"“{name[:30]}…” is longer than {LONGEST_NAME} characters. Use a shorter name for it.")
    number, _, ending = rest.partition(" ")
    per = _ENDINGS.get(ending.strip().lower())
    if per is None:
        raise ValueError(f"“{shown[:80]}” doesn't say for whom. End it with “per head”, “per group” or “once”.")
    if not (number.isascii() and number.isdigit() and len(number) <= 6 and 1 <= int(number) <= MOST_OF_ONE_THING):
        raise ValueError(f"“{number[:20]}” of {name} can't be packed. Give a whole number, 1 to {MOST_OF_ONE_THING}.")
    return Thing(name, int(number), per)


def parse_things(lines: Sequence[str]) -> tuple[Thing, ...]:
    """Read every line that is not empty. Raises ValueError with all sentences, and for a thing that is listed twice."""
    things: list[Thing] = []
    wrong = []
    seen = set()
    for line in lines:
        if not line.strip():
            continue
        try:
            thing = parse_thing(line)
        except ValueError as problem:
            wrong.append(str(problem))
            continue
        if thing.name.casefold() in seen:
            wrong.append(f"{thing.name} stands there twice. Put it on one line.")
        seen.add(thing.name.casefold())
        things.append(thing)
    if wrong:
        raise ValueError(" ".join(wrong))
    return tuple(things)
