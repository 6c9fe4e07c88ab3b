"""Where two phones said what can't both be: what each said, for the lead on the floor page or the office after it."""

import json
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext

from families.models import Child
from floor.models import FloorAction
from floor.rules.floor_log import FloorState
from floor.words import CONFLICTS, where_entered
from people.models import Volunteer

__all__ = ["OpenConflict", "Version", "open_conflicts"]


@dataclass(frozen=True)
class Version:
    """One entry as it was said. ``by`` ends the sentence: entered on whose phone, or by whom in the office."""

    id: str
    at: datetime
    kind: str
    pickup: str
    by: str

    @property
    def came(self) -> bool:
        return self.kind != "out"


@dataclass(frozen=True)
class OpenConflict:
    """``words``: a sentence with the name. ``versions`` are what stands against each other, or one alone."""

    code: str
    who: str
    actions: tuple[str, ...]
    words: str
    versions: list[Version]


def open_conflicts(state: FloorState) -> list[OpenConflict]:
    """List the conflicts that are still to be settled. No query when there are none, otherwise three."""
    if not state.conflicts:
        return []
    said = _said({number for one in state.conflicts for number in one.actions})
    names = _names({one.who for one in state.conflicts}, state)
    return [
        OpenConflict(
            one.code,
            one.who,
            one.actions,
            str(CONFLICTS[one.code] % {"name": names.get(one.who) or gettext("Someone")}),
            [said[number] for number in one.actions if number in said],
        )
        for one in state.conflicts
    ]


def _said(numbers: set[str]) -> dict[str, Version]:
    rows = FloorAction.objects.filter(pk__in=numbers).select_related("phone")
    return {
        str(row.pk): Version(
            str(row.pk), row.at, row.kind, str(json.loads(row.facts).get("pickup", "")), where_entered(row.phone)
        )
        for row in rows
    }


def _names(whom: set[str], state: FloorState) -> dict[str, str]:
    names = {who: str(row.facts["name"]) for who, row in state.walk_ins.items() if who in whom}
    for letter, people in (("c", Child.objects), ("v", Volunteer.objects)):
        numbers = [int(who[1:]) for who in whom if who[0] == letter and who[1:].isdecimal()]
        names |= {f"{letter}{pk}": name for pk, name in people.filter(pk__in=numbers).values_list("pk", "name")}
    return names
