"""What phones and office wrote of one clinic's floor, and what it amounts to."""

import json
from collections.abc import Collection, Mapping
from typing import Any

from clinics.models import Clinic
from floor.models import FloorAction, MergedNumber
from floor.rules.floor_log import Action, FloorState, fold

__all__ = ["called_now", "children_of_walk_ins", "floor_state", "read_actions"]


def children_of_walk_ins(clinic: Clinic) -> dict[str, int]:
    """By the number of a walk-in's entry, the number of the child it became. One query."""
    rows = FloorAction.objects.filter(clinic=clinic, kind="walk-in", child__isnull=False)
    return {str(pk): child for pk, child in rows.values_list("pk", "child_id") if child is not None}


def read_actions(clinic: Clinic) -> list[Action]:
    """Read everything that phones and office wrote of the floor, and call each person by one name throughout.

    A person who has another number by now is called by that one. A child who walked in is called as at the door, also
    where an entry gives the child's number in the books, or another walk-in that turned out to be the same child.
    """
    joined = dict(MergedNumber.objects.values_list("was", "is_now"))
    # Plain values: a phone waits for this, and of a long day there are thousands.
    rows = FloorAction.objects.filter(clinic=clinic).values_list(
        "pk", "phone_id", "seq", "at", "kind", "child_id", "facts"
    )
    said = [(row, _named_now(json.loads(row[-1]), joined)) for row in rows]
    first: dict[int, str] = {}
    names: dict[str, str] = {}
    for (_, _, _, _, _, child, _), facts in said:
        if child is not None:
            who = first.setdefault(child, str(facts["who"]))
            names |= {f"c{child}": who, str(facts["who"]): who}
    return [
        Action(str(pk), str(phone), seq, at, kind, _named_now(facts, names))
        for (pk, phone, seq, at, kind, _, _), facts in said
    ]


def called_now(clinic: Clinic, listed: Collection[str]) -> dict[str, str]:
    """By a number that a phone may still use, what ``read_actions`` calls the same person. Two queries.

    ``listed``: the numbers of the day's children, "c12". By it a phone with an older day joins what became one.
    """
    joined = dict(MergedNumber.objects.filter(is_now__in=listed).values_list("was", "is_now"))
    rows = FloorAction.objects.filter(clinic=clinic, kind="walk-in", child__isnull=False)
    names: dict[str, str] = {}
    for child, facts in rows.values_list("child_id", "facts"):
        who = str(json.loads(facts)["who"])
        names[who] = names.setdefault(f"c{child}", who)
    said = names | {was: names.get(is_now, is_now) for was, is_now in joined.items()}
    return {was: is_now for was, is_now in said.items() if was != is_now}


def _named_now(facts: dict[str, Any], joined: Mapping[str, str]) -> dict[str, Any]:
    return facts | {name: joined[who] for name in ("who", "other") if (who := str(facts.get(name, ""))) in joined}


def floor_state(clinic: Clinic) -> FloorState:
    """Work out how the floor stands from everything that was written of it. Two queries."""
    return fold(read_actions(clinic))
