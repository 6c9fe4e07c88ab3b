"""Activities as rows of a file: what can be imported, and each reason why a row can't."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, get_args

from core.rules.refused import Reason, Refused
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
    reasons: list[Reason]


@dataclass
class ReadActivities:
    good: list[ActivityRow] = field(default_factory=list)
    bad: list[BadActivity] = field(default_factory=list)


def read_activities(rows: Sequence[Mapping[str, str]], there: Mapping[str, Mapping[str, str | int]]) -> ReadActivities:
    """Sort rows into those that can be imported and those that can't, with every reason.

    A row with the code of an activity changes it; one without a code adds one. ``there`` holds the facts of the present
    activities by code, since a row may change only some of them. Line 1 is the head.
    """
    out = ReadActivities()
    holder = {str(facts["name"]).casefold(): code for code, facts in there.items()}
    seen_codes: dict[str, int] = {}
    seen_names: dict[str, int] = {}
    for line, row in enumerate(rows, 2):
        unread: list[Any] = []
        cell = {name: cell_text(row, name, _LONGEST.get(name, 80), unread) for name in ACTIVITY_HEAD}
        reasons = [Reason(one.code, one.named) for one in unread]
        code, name = cell["code"], cell["name"]
        if code and code not in there:
            reasons.append(Reason("unknown code", {"code": code}))
        if not name:
            reasons.append(Reason("no name"))
        elif holder.get(name.casefold(), code) != code:
            reasons.append(Reason("name there", {"name": name}))
        for seen, what in ((seen_codes, code), (seen_names, name.casefold())):
            if what and what in seen:
                reasons.append(Reason("same line", {"line": seen[what]}))
            elif what:
                seen[what] = line
        for column, fact in there.get(code, {}).items():
            if column in cell and column not in row:
                cell[column] = str(fact).replace("\n", BETWEEN)
        facts = _facts(cell, reasons)
        if reasons:
            out.bad.append(BadActivity(line, name, _each_once(reasons)))
        else:
            changed = {column: fact for column, fact in facts.items() if column in row or not code}
            out.good.append(ActivityRow(line, code, changed))
    return out


def _each_once(reasons: Sequence[Reason]) -> list[Reason]:
    return [one for number, one in enumerate(reasons) if one not in reasons[:number]]


def _facts(cell: Mapping[str, str], reasons: list[Reason]) -> dict[str, str | int]:
    before = len(reasons)
    facts: dict[str, str | int] = {"name": cell["name"], "skill": cell["skill"], "record": cell["record"]}
    for name, choices in (("kind", get_args(Kind)), ("level", get_args(Level))):
        text = cell[name].lower() or ("all" if name == "level" else "")
        if text not in choices:
            reasons.append(Reason("no choice", {"column": name, "typed": cell[name], "choices": list(choices)}))
        facts[name] = text
    for name, least in _NUMBERS.items():
        facts[name] = _number(cell[name], name, least, reasons)
    for name in LINES:
        facts[name] = "\n".join(part.strip() for part in cell[name].split("|") if part.strip())
    for line in str(facts["things"]).splitlines():
        try:
            parse_thing(line)
        except Refused as problem:
            reasons += problem.reasons
    if len(reasons) == before and cell["name"]:
        # The rule itself says what else can't be.
        numbers = {name: int(facts[name]) for name in _NUMBERS}
        things = tuple(str(facts["things"]).splitlines())
        try:
            Activity("row", cell["name"], facts["kind"], level=facts["level"], things=things, **numbers)  # type: ignore[arg-type]
        except Refused as problem:
            reasons += problem.reasons
        if facts["kind"] == "opener" and not 5 <= numbers["least_minutes"] <= numbers["most_minutes"] <= 10:
            reasons.append(Reason("opener minutes"))
    return facts


def _number(text: str, name: str, least: int, reasons: list[Reason]) -> int:
    if not text and name in _USUAL:
        return _USUAL[name]
    if not (text.isascii() and text.isdigit() and len(text) <= 6):
        reasons.append(Reason("not whole", {"column": name, "typed": text}))
        return least
    number = int(text)
    if not least <= number <= _MOST[name]:
        reasons.append(Reason("out of range", {"column": name, "number": number, "least": least, "most": _MOST[name]}))
    return number
