"""A run sheet as plain data that can be kept: what it is planned from, what it says, and both back again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from clinics.rules.supervision import RatioRow, RatioTable, nearest_age
from core.rules.refused import Reason, Refused
from runsheets.rules.activities import Activity
from runsheets.rules.rotation import (
    Adult,
    Floor,
    Group,
    GroupTime,
    Objective,
    Request,
    RunSheet,
    Slot,
    request_for,
)

__all__ = ["activities_of", "request_of", "sheet_data", "sheet_of", "strictest"]

OLDEST = 18


def strictest(tables: Sequence[RatioTable]) -> RatioTable:
    """Make one table out of the strictest row for each year of age.

    An age without a row takes the nearest row below, or else above, so such an age never asks for fewer adults (as in
    floor/rules/adults_now.py). Raises Refused without a table.
    """
    if not tables:
        raise Refused.because("no table")
    rows = []
    for age in range(OLDEST + 1):
        found = [table.row_for(nearest_age(age, table)) for table in tables]
        caps = [row.group_cap for row in found if row.group_cap is not None]
        most = min(row.children_per_adult for row in found)
        rows.append(RatioRow(age, age, most, min(caps) if caps else None, found[0].status))
    return RatioTable(
        code="strictest",
        name=" and ".join(table.name for table in tables),
        source="; ".join(table.source for table in tables),
        year=None,
        rows=tuple(rows),
    )


def activities_of(facts: Mapping[str, Any]) -> list[Activity]:
    """The activities as they were when the sheet was asked for, in their order around the space."""
    # Sheets from before things were kept have none of them.
    lines = ("teaching", "safety", "things")
    return [Activity(**one | {name: tuple(one.get(name, ())) for name in lines}) for one in facts["activities"]]


def request_of(facts: Mapping[str, Any], groups: Sequence[Mapping[str, Any]], tables: Sequence[RatioTable]) -> Request:
    """Make the request for the search from what was kept. Raises Refused if it can't be."""
    return request_for(
        [Group(one["code"], one["count"], one["youngest"], one["oldest"], one["advanced"]) for one in groups],
        activities_of(facts),
        facts["minutes"],
        Floor(**facts["floor"]),
        [Adult(one["name"], frozenset(one["skills"])) for one in facts["adults"]],
        ratio=strictest(tables),
        changeover=facts["changeover"],
        water_every=facts["water_every"],
        optional=facts["optional"],
        advanced_apart=facts["advanced_apart"],
        stem=facts["stem"],
    )


def sheet_data(sheet: RunSheet) -> dict[str, Any]:
    """Turn a sheet into JSON data. Activities that the rule adds by itself (opener, water, closer) are named in it."""
    return {
        "status": sheet.status,
        "slots": [
            {
                "kind": slot.kind,
                "start": slot.start,
                "minutes": slot.minutes,
                "stations": dict(slot.stations),
                "adults": {code: list(names) for code, names in slot.adults.items()},
                "spare": list(slot.spare),
            }
            for slot in sheet.slots
        ],
        "times": {
            code: {
                "active": time.active,
                "waiting": time.waiting,
                "other": time.other,
                "ball_sizes": list(time.ball_sizes),
                "rim_ft": time.rim_ft,
            }
            for code, time in sheet.times.items()
        },
        "objectives": [asdict(one) for one in sheet.objectives],
        "activities": [asdict(one) for one in sheet.request.activities],
        "seconds": round(sheet.seconds, 2),
        "spare_minutes": sheet.spare_minutes,
        "binding": [_kept(one) for one in sheet.binding],
        "changes": [{"parts": [list(part) for part in one.parts]} for one in sheet.changes],
        "notes": [_kept(one) for one in sheet.notes],
        "share_court": sheet.share_court,
        "goal_met": sheet.goal_met,
    }


def _kept(reason: Reason) -> dict[str, Any]:
    return {"code": reason.code, "facts": dict(reason.facts)}


def sheet_of(request: Request, data: Mapping[str, Any]) -> RunSheet:
    """Read the sheet back from its data, to go on from it."""
    return RunSheet(
        request,
        data["status"],
        tuple(
            Slot(
                one["kind"],
                one["start"],
                one["minutes"],
                one["stations"],
                {code: tuple(names) for code, names in one["adults"].items()},
                tuple(one["spare"]),
            )
            for one in data["slots"]
        ),
        {
            code: GroupTime(code, one["active"], one["waiting"], one["other"], tuple(one["ball_sizes"]), one["rim_ft"])
            for code, one in data["times"].items()
        },
        tuple(Objective(**one) for one in data["objectives"]),
        data["seconds"],
        data["spare_minutes"],
    )
