"""Activities as rows of a table: what can be taken, and each reason why a row can't."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import get_args

from people.rules.cells import cell_text
from runsheets.rules.activities import Activity, Kind, Level, parse_thing

__all__ = ["ACTIVITY_HEAD", "BETWEEN", "LINES", "ActivityRow", "BadActivity", "ReadActivities", "read_activities"]

_NUMBERS = {
    "least_minutes": 1, "most_minutes": 1, "group_size": 1, "hoops": 0, "balls": 0, "balls_each": 0, "tables": 0,
    "sockets": 0, "adults": 0, "youngest": 0, "oldest": 0, "cycle_seconds": 1, "players": 1, "turns_at_once": 1,
}  # fmt: skip
_USUAL = {"hoops": 0, "balls": 0, "balls_each": 0, "tables": 0, "sockets": 0, "adults": 1, "youngest": 5, "oldest": 18,
          "cycle_seconds": 30, "players": 1, "turns_at_once": 1}  # fmt: skip
_MOST = {
    "least_minutes": 180, "most_minutes": 180, "group_size": 400, "hoops": 40, "balls": 100, "balls_each": 5,
    "tables": 60, "sockets": 60, "adults": 40, "youngest": 18, "oldest": 18, "cycle_seconds": 10800, "players": 60,
    "turns_at_once": 60,
}  # fmt: skip
_LONGEST = {
    "code": 40, "name": 80, "skill": 40, "record": 200, "teaching": 4000, "safety": 4000, "things": 2000,
}  # fmt: skip

# Points of one activity stand in one cell with this between them.
BETWEEN = " | "
LINES = ("teaching", "safety", "things")

ACTIVITY_HEAD = (
    "code", "name", "kind", "least_minutes", "most_minutes", "group_size", "hoops", "balls", "balls_each", "tables",
    "sockets", "adults", "skill", "youngest", "oldest", "level", "cycle_seconds", "players", "turns_at_once",
    "teaching", "safety", "record", "things",
)  # fmt: skip


@dataclass(frozen=True)
class ActivityRow:
    """``code``: that of the activity it changes; empty for a new one.

    ``facts`` of a change are those of the table's columns: what the table says nothing of stays.
    """

    line: int
    code: str
    facts: dict[str, str | int]

    @property
    def new(self) -> bool:
        return not self.code


@dataclass(frozen=True)
class BadActivity:
    line: int
    name: str
    reasons: list[str]


@dataclass
class ReadActivities:
    good: list[ActivityRow] = field(default_factory=list)
    bad: list[BadActivity] = field(default_factory=list)


def read_activities(rows: Sequence[Mapping[str, str]], there: Mapping[str, Mapping[str, str | int]]) -> ReadActivities:
    """Sort rows into those that can be taken and those that can't, with every reason.

    A row with the code of an activity changes it; one without a code adds one. ``there`` holds the facts of the present
    activities by code, since a row may change only some of them. Line 1 is the head.
    """
    out = ReadActivities()
    holder = {str(facts["name"]).casefold(): code for code, facts in there.items()}
    seen_codes: dict[str, int] = {}
    seen_names: dict[str, int] = {}
    for line, row in enumerate(rows, 2):
        reasons: list[str] = []
        cell = {name: cell_text(row, name, _LONGEST.get(name, 80), reasons) for name in ACTIVITY_HEAD}
        code, name = cell["code"], cell["name"]
        if code and code not in there:
            reasons.append(f"no activity has the code “{code}”: leave it empty to add one")
        if not name:
            reasons.append("name is empty")
        elif holder.get(name.casefold(), code) != code:
            reasons.append(f"there is an activity called {name} already: give its code to change it")
        for seen, what in ((seen_codes, code), (seen_names, name.casefold())):
            if what and what in seen:
                reasons.append(f"the same stands on line {seen[what]}")
            elif what:
                seen[what] = line
        for column, fact in there.get(code, {}).items():
            if column in cell and column not in row:
                cell[column] = str(fact).replace("\n", BETWEEN)
        facts = _facts(cell, reasons)
        if reasons:
            out.bad.append(BadActivity(line, name, list(dict.fromkeys(reasons))))
        else:
            changed = {column: fact for column, fact in facts.items() if column in row or not code}
            out.good.append(ActivityRow(line, code, changed))
    return out


def _facts(cell: Mapping[str, str], reasons: list[str]) -> dict[str, str | int]:
    before = len(reasons)
    facts: dict[str, str | int] = {"name": cell["name"], "skill": cell["skill"], "record": cell["record"]}
    for name, choices in (("kind", get_args(Kind)), ("level", get_args(Level))):
        text = cell[name].lower() or ("all" if name == "level" else "")
        if text not in choices:
            reasons.append(f"{name} “{cell[name]}”: write one of {', '.join(choices)}")
        facts[name] = text
    for name, least in _NUMBERS.items():
        facts[name] = _number(cell[name], name, least, reasons)
    for name in LINES:
        facts[name] = "\n".join(part.strip() for part in cell[name].split("|") if part.strip())
    for line in str(facts["things"]).splitlines():
        try:
            parse_thing(line)
        except ValueError as problem:
            reasons.append(str(problem).rstrip("."))
    if len(reasons) == before and cell["name"]:
        # The rule itself says what else can't be, in the same words as everywhere.
        numbers = {name: int(facts[name]) for name in _NUMBERS}
        things = tuple(str(facts["things"]).splitlines())
        try:
            Activity("row", cell["name"], facts["kind"], level=facts["level"], things=things, **numbers)  # type: ignore[arg-type]
        except ValueError as problem:
            reasons.append(str(problem).rstrip("."))
        if facts["kind"] == "opener" and not 5 <= numbers["least_minutes"] <= numbers["most_minutes"] <= 10:
            reasons.append("an opener lasts 5 to 10 minutes")
    return facts


def _number(text: str, name: str, least: int, reasons: list[str]) -> int:
    if not text and name in _USUAL:
        return _USUAL[name]
    if not (text.isascii() and text.isdigit() and len(text) <= 6):
        reasons.append(f"{name} “{text}” is no whole number")
        return least
    number = int(text)
    if not least <= number <= _MOST[name]:
        reasons.append(f"{name} is {number}: give {least} to {_MOST[name]}")
    return number
