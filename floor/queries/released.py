"""Who went home with somebody whose name is like that of one who must not pick them up, and why the lead was sure."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext

from clinics.needs import Need
from core.formats import long_day
from families.models import Child
from floor.models import FloorAction, FloorDay, MergedNumber

__all__ = ["Released", "released_needs", "released_on"]

# Long enough for whoever looks once a week, and well within the time for which the log is kept.
SHOWN_FOR = timedelta(days=7)


@dataclass(frozen=True)
class Released:
    """``action``: the id of the entry, as in ``SignIn.out_action``."""

    clinic: int
    action: str
    child: str
    pickup: str
    near: str
    reason: str


def released_on(days: Iterable[FloorDay]) -> list[Released]:
    """Read what these days' log still says of it: the words go with the log, or with the child's record.

    No query where nobody was released so, otherwise at most four.
    """
    numbers = [number for day in days for number in day.released]
    if not numbers:
        return []
    rows = [(row, json.loads(row.facts)) for row in FloorAction.objects.filter(pk__in=numbers).order_by("at")]
    said = [(row, facts) for row, facts in rows if facts.get("near")]
    names = _names({(row.clinic_id, str(facts["who"])) for row, facts in said})
    return [
        Released(
            row.clinic_id,
            str(row.pk),
            names.get((row.clinic_id, str(facts["who"])), ""),
            str(facts["pickup"]),
            str(facts["near"]),
            str(facts.get("reason", "")),
        )
        for row, facts in said
    ]


def _names(whom: set[tuple[int, str]]) -> dict[tuple[int, str], str]:
    """The children's names; one who walked in has the number of the phone."""
    joined = dict(MergedNumber.objects.filter(was__in={who for _, who in whom}).values_list("was", "is_now"))
    walked: dict[tuple[int, str], int] = {}
    if any(who.startswith("w-") for _, who in whom):
        clinics = {clinic for clinic, _ in whom}
        for row in FloorAction.objects.filter(clinic__in=clinics, kind="walk-in", child__isnull=False):
            if row.child_id is not None:
                walked[row.clinic_id, str(json.loads(row.facts)["who"])] = row.child_id
    numbers: dict[tuple[int, str], int] = {}
    for clinic, who in whom:
        now = joined.get(who, who)
        if now[1:].isdecimal():
            numbers[clinic, who] = int(now[1:])
        elif (clinic, now) in walked:
            numbers[clinic, who] = walked[clinic, now]
    known = Child.objects.filter(pk__in=numbers.values()).defer("allergies", "care_notes").in_bulk()
    return {key: str(known[number]) for key, number in numbers.items() if number in known}


def released_needs(now: datetime) -> Iterator[Need]:
    """One for each child who went home so, until SHOWN_FOR after the clinic."""
    rows = FloorDay.objects.filter(clinic__ends_at__gt=now - SHOWN_FOR).exclude(released=[])
    days = list(rows.select_related("clinic__center").defer("notes"))
    known = {day.clinic_id: day.clinic for day in days}
    for one in released_on(days):
        clinic = known[one.clinic]
        facts = {"child": one.child or gettext("A child"), "name": one.pickup, "barred": one.near}
        yield Need(
            day=clinic.day,
            rank=0,
            headline=gettext(
                "%(child)s was released to %(name)s, whose name is like that of %(barred)s, who must not pick up"
            )
            % facts,
            detail=gettext("%(center)s, %(day)s. The lead’s reason: %(reason)s")
            % {"center": clinic.center.name, "day": long_day(clinic.day), "reason": one.reason or gettext("none")},
            action_label=gettext("See this clinic day"),
            action_href=reverse("clinic-day", args=[clinic.pk]),
        )
