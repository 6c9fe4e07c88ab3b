"""What a phone can write down: the one schema of entries, and what is wrong with an entry that doesn't follow it."""

import json
import re
from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime
from typing import Annotated, Any, NamedTuple, Self
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, model_validator
from pydantic_core import PydanticCustomError

__all__ = ["FACTS", "LONGEST_ENTRY", "Entry", "Trouble", "check_action", "plain", "read_entry"]

LONGEST_TEXT = 2000
# Of an entry that comes as a text: more than the longest report that the page lets anybody type, each quote escaped.
LONGEST_ENTRY = 20_000
# Lists and objects inside each other: an entry and its facts are two, and a list in place of a word is only a mistake.
DEEPEST = 4
OLDEST_BIRTH = date(2000, 1, 1)
# A phone's clock may say anything; outside of these the database's and Python's calendars part.
OLDEST_TIME, NEWEST_TIME = datetime(1900, 1, 1, tzinfo=UTC), datetime(9000, 1, 1, tzinfo=UTC)

Who = Annotated[str, Field(max_length=60)]  # the number of a person, an entry or a group
Code = Annotated[str, Field(max_length=40)]
Name = Annotated[str, Field(max_length=200)]
Text = Annotated[str, Field(max_length=LONGEST_TEXT)]
Count = Annotated[int, Field(ge=0, le=10_000)]
RowNumber = Annotated[int, Field(ge=0, le=2**31 - 1)]


class Facts(BaseModel):
    """Facts of an entry. A fact with a default may be left out; one that is not named here is not taken."""

    # Strict: "3", 3.0 and true are no 3.
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class CameIn(Facts):
    who: Who
    # What was said before the sign-in and answered, as codes with commas between them.
    despite: Text = ""


class WentOut(Facts):
    who: Who
    pickup: Name
    # Whom the name is near who must not pick up, and why the lead released the child all the same.
    near: Text = ""
    reason: Text = ""


class WalkIn(Facts):
    who: Who
    name: Name
    born: Code
    guardian: Name
    phone: Name
    signed: Name
    allergies: Text = ""
    no_allergies: bool = False
    care_notes: Text = ""
    pickup: Name = ""
    photo: bool = False
    language: Code = ""
    version: Count = 0
    paper: bool = False
    despite: Text = ""

    @model_validator(mode="after")
    def _can_be_meant(self) -> Self:
        if not self.who.startswith("w-"):
            raise PydanticCustomError("no phone number of its own", "Its number is not one of a walk-in.")
        try:
            born = date.fromisoformat(self.born)
        except ValueError:
            born = None
        if born is None or not re.fullmatch(r"\d{4}-\d\d-\d\d", self.born):
            raise PydanticCustomError("unreadable birth date", "The date of birth can't be read.")
        if born < OLDEST_BIRTH:
            raise PydanticCustomError("too old", "The date of birth is no child's.")
        return self


class Waiver(Facts):
    """``how``: "phone" where the guardian typed ``signed`` under the text of ``version`` in ``language``, "paper" where
    a signed sheet lies in the folder."""

    who: Who
    how: Code
    guardian: Name
    signed: Name
    language: Code
    version: Count


class Undo(Facts):
    of: Who


class Score(Facts):
    who: Who
    what: Text
    made: Count
    tried: Count
    level: Count | None = None
    # Of the step-back ladder: "held" or "broke". Of par-zero: how far from par.
    form: Code = ""
    par: Annotated[int, Field(ge=-10_000, le=10_000)] = 0

    @model_validator(mode="after")
    def _can_be_meant(self) -> Self:
        if self.made > self.tried:
            raise PydanticCustomError("more made than tried", "More was made than tried.")
        return self


class Incident(Facts):
    what: Text
    first_aid: Text
    told: Text
    witness: Text
    head: bool
    who: Who = ""
    # "head", "breathing", "seizure", "allergy", "bleeding" or "other".
    sort: Code = ""


class Slot(Facts):
    slot: Count
    sheet: RowNumber | None = None


class Note(Facts):
    words: Text


class Hours(Facts):
    who: Who
    minutes: Count


class Close(Facts):
    pass


class Pair(Facts):
    """Two lines of the door that may be one child: the lead says that they are, or that they are not."""

    who: Who
    other: Who


# What a phone can write down, with the facts of each kind.
FACTS: dict[str, type[Facts]] = {
    "in": CameIn,
    "out": WentOut,
    "walk-in": WalkIn,
    "waiver": Waiver,
    "undo": Undo,
    "score": Score,
    "incident": Incident,
    "slot": Slot,
    "note": Note,
    "hours": Hours,
    "close": Close,
    "same": Pair,
    "apart": Pair,
}


def _number(value: object) -> UUID:
    if not isinstance(value, str):
        raise ValueError("An id is a text.")
    return UUID(value)


def _moment(value: object) -> datetime:
    if not isinstance(value, str):
        raise ValueError("A time is a text.")
    return datetime.fromisoformat(value)


def _written(value: object) -> object:
    """Facts with what can't be written down replaced. Two names that then are one say what nobody meant."""
    if not isinstance(value, dict):
        return value
    facts = {plain(name): plain(fact) for name, fact in value.items()}
    if len(facts) < len(value) or any(name not in value for name in facts):
        raise PydanticCustomError("unexpected", "A name that is none.")
    return facts


class Entry(BaseModel):
    """One tap as a phone sends it. Its facts are checked by ``check_action``."""

    # Whatever else newer pages may put beside these is not kept.
    model_config = ConfigDict(strict=True, extra="ignore", frozen=True)

    id: Annotated[UUID, BeforeValidator(_number)]
    seq: Annotated[int, Field(gt=0, lt=10**9)]
    at: Annotated[AwareDatetime, BeforeValidator(_moment), Field(ge=OLDEST_TIME, le=NEWEST_TIME)]
    kind: str
    facts: Annotated[dict[str, Any], BeforeValidator(_written)]


class Trouble(NamedTuple):
    """Why an entry can't be accepted: a stable code, the entry's kind, the fact that is wrong, and what it may be at
    most, each if there is one."""

    code: str
    kind: str = ""
    name: str = ""
    most: int = LONGEST_TEXT


def plain(value: Any) -> Any:
    """Half an emoji and a zero byte can't be written down: an entry must not be lost, nor stop others, for one."""
    if not isinstance(value, str) or (value.isascii() and "\0" not in value):
        return value
    return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace").replace("\0", "")


def read_entry(said: Any) -> tuple[str, Entry | Trouble]:
    """Read what was sent as one entry, a JSON text or, from older pages, an object; never raises.

    Returns its id as it was sent, "" where it can't be read, and the entry or why it can't be accepted. Codes:
    "not an entry", "too big", "too deep", "unreadable" (id, number or time), "empty", and those of ``check_action``.
    """
    if isinstance(said, str):
        if len(said) > LONGEST_ENTRY:
            return "", Trouble("too big", most=LONGEST_ENTRY)
        try:
            said = json.loads(said)
        except RecursionError:
            return "", Trouble("too deep")
        except ValueError:
            return "", Trouble("not an entry")
    if not isinstance(said, dict):
        return "", Trouble("too deep" if _too_deep(said) else "not an entry")
    sent = said.get("id")
    number = plain(sent) if isinstance(sent, str) else ""
    try:
        entry = Entry.model_validate(said)
    except ValidationError as problem:
        trouble = _trouble_of_entry(problem, said)
    else:
        found = check_action(entry.kind, entry.facts)
        if found is None:
            return number, entry
        trouble = found
    # Looked for last: what follows the schema is never deep.
    return number[:60], Trouble("too deep", trouble.kind) if _too_deep(said) else trouble


def check_action(kind: str, facts: Mapping[str, Any]) -> Trouble | None:
    """Find what is wrong with an action's facts; None when nothing is.

    Codes: "unknown kind", "missing" (or of another type), "unexpected", "too long", "out of range",
    "no phone number of its own", "unreadable birth date", "too old", "more made than tried".
    """
    if kind not in FACTS:
        return Trouble("unknown kind", plain(kind)[:40])
    try:
        FACTS[kind].model_validate(facts)
    except ValidationError as problem:
        return _trouble_of_facts(problem, kind)
    return None


# By pydantic's name of what is wrong; errors of ours have the code for a name.
_CODES = {
    "extra_forbidden": "unexpected",
    "string_too_long": "too long",
    "less_than_equal": "out of range",
    "greater_than_equal": "out of range",
}
_OURS = {"no phone number of its own", "unreadable birth date", "too old", "more made than tried", "unexpected"}


def _trouble_of_facts(problem: ValidationError, kind: str) -> Trouble:
    first = problem.errors(include_url=False, include_input=False)[0]
    name = str(first["loc"][0])[:40] if first["loc"] else ""
    if first["type"] in _OURS:
        return Trouble(first["type"], kind, name)
    most = first.get("ctx", {}).get("max_length", LONGEST_TEXT)
    return Trouble(_CODES.get(first["type"], "missing"), kind, name, most)


def _trouble_of_entry(problem: ValidationError, said: Mapping[str, Any]) -> Trouble:
    first = problem.errors(include_url=False, include_input=False)[0]
    kind = plain(said["kind"])[:40] if isinstance(said.get("kind"), str) else ""
    if first["type"] in _OURS:
        return Trouble(first["type"], kind)
    return Trouble({"facts": "empty", "kind": "unknown kind"}.get(str(first["loc"][0]), "unreadable"), kind)


def _too_deep(said: Any) -> bool:
    """Without going down into it: what is nested deep enough would break whoever does."""
    level = [said]
    for _ in range(DEEPEST):
        level = [inner for one in level for inner in _inside(one)]
    return any(isinstance(one, dict | list) for one in level)


def _inside(one: Any) -> Iterable[Any]:
    return one.values() if isinstance(one, dict) else one if isinstance(one, list) else ()
