"""What a phone can write down: each kind of entry with its facts, and what is wrong with one that is not such."""

from collections.abc import Mapping
from datetime import date
from typing import Any, NamedTuple

__all__ = ["KINDS", "LONGEST_TEXT", "OPTIONAL", "Trouble", "check_action"]

Types = type | tuple[type, ...]

# What a phone can write down, with the facts each must carry.
KINDS: dict[str, dict[str, Types]] = {
    "in": {"who": str},
    "out": {"who": str, "pickup": str},
    "walk-in": {"who": str, "name": str, "born": str, "guardian": str, "phone": str, "signed": str},
    # ``how``: "phone" where the guardian typed ``signed`` under the text of ``version`` in ``language``, "paper" where
    # a signed sheet lies in the folder.
    "waiver": {"who": str, "how": str, "guardian": str, "signed": str, "language": str, "version": int},
    "undo": {"of": str},
    "score": {"who": str, "what": str, "made": int, "tried": int},
    "incident": {"what": str, "first_aid": str, "told": str, "witness": str, "head": bool},
    "slot": {"slot": int},
    "note": {"words": str},
    "hours": {"who": str, "minutes": int},
    "close": {},
    # Two lines of the door that may be one child: the lead says that they are, or that they are not.
    "same": {"who": str, "other": str},
    "apart": {"who": str, "other": str},
}
# Facts that an entry may carry beside those.
OPTIONAL: dict[str, dict[str, Types]] = {
    # What was said before the sign-in and answered, as codes with commas between them.
    "in": {"despite": str},
    # Whom the name is near who must not pick up, and why the lead released the child all the same.
    "out": {"near": str, "reason": str},
    "walk-in": {
        "allergies": str, "no_allergies": bool, "care_notes": str, "pickup": str, "photo": bool, "language": str,
        "version": int, "paper": bool, "despite": str,
    },
    "score": {"level": (int, type(None))},
    # ``sort``: "head", "breathing", "seizure", "allergy", "bleeding" or "other".
    "incident": {"who": str, "sort": str},
    "slot": {"sheet": (int, type(None))},
}  # fmt: skip
LONGEST_TEXT = 2000
OLDEST_BIRTH = date(2000, 1, 1)


class Trouble(NamedTuple):
    """Why an entry can't be accepted: a stable code, the entry's kind, and the fact that is wrong, if one is."""

    code: str
    kind: str = ""
    name: str = ""


def check_action(kind: str, facts: Mapping[str, Any]) -> Trouble | None:
    """Find what is wrong with an action's facts; None when nothing is.

    Codes: "unknown kind", "missing", "too long", "out of range", "no phone number of its own",
    "unreadable birth date", "too old", "more made than tried".
    """
    if kind not in KINDS:
        return Trouble("unknown kind", kind[:40])
    for name, wanted in (KINDS[kind] | {n: t for n, t in OPTIONAL.get(kind, {}).items() if n in facts}).items():
        value = facts.get(name)
        # A bool is an int for Python and never one for us.
        if not isinstance(value, wanted) or (wanted is not bool and isinstance(value, bool)):
            return Trouble("missing", kind, name)
        if isinstance(value, str) and len(value) > LONGEST_TEXT:
            return Trouble("too long", kind, name)
        if isinstance(value, int) and not isinstance(value, bool) and not 0 <= value <= 10_000:
            return Trouble("out of range", kind, name)
    if kind == "walk-in":
        if not facts["who"].startswith("w-"):
            return Trouble("no phone number of its own", kind)
        try:
            born = date.fromisoformat(facts["born"])
        except ValueError:
            return Trouble("unreadable birth date", kind)
        if not born >= OLDEST_BIRTH:
            return Trouble("too old", kind)
    if kind == "score" and facts["made"] > facts["tried"]:
        return Trouble("more made than tried", kind)
    return None
