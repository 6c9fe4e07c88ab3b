"""The run sheet as the floor page reads it, and what both pages say of a station."""

from collections.abc import Mapping
from typing import Any

from clinics.models import Clinic
from runsheets.models import RunSheetPlan
from runsheets.rules.rotation import WAITING
from runsheets.words.sheets import on_the_side, station_words, wait_words, whole_space

__all__ = ["latest_ready", "places_of", "sheet_for_floor"]


def latest_ready(clinic: Clinic) -> RunSheetPlan | None:
    """The sheet that holds: of those that were found, the one that was asked for last."""
    return RunSheetPlan.objects.ready().filter(clinic=clinic).latest_each().first()


def places_of(result: Mapping[str, Any]) -> dict[str, str]:
    """Say where each activity is: its number around the space, or the whole space."""
    around = [one["code"] for one in result["activities"] if one["kind"] in ("station", "stem")]
    places = {code: station_words(number, len(around)) for number, code in enumerate(around, 1)}
    return {one["code"]: places.get(one["code"], whole_space()) for one in result["activities"]}


def sheet_for_floor(clinic: Clinic) -> dict[str, Any] | None:
    """Read each slot's stations with points and adults, and each group's children. One query; None without a sheet."""
    row = latest_ready(clinic)
    if row is None:
        return None
    result = row.result
    by_code = {one["code"]: one for one in result["activities"]}
    places = places_of(result)

    def station(code: str) -> dict[str, Any]:
        one = by_code.get(code)
        if code == WAITING or one is None:
            return {"name": wait_words(), "where": on_the_side(), "teaching": [], "safety": []}
        return {
            "name": one["name"],
            "where": places[code],
            "teaching": list(one["teaching"]),
            "safety": list(one["safety"]),
        }

    return {
        "pk": row.pk,
        "slots": [
            {
                "start": slot["start"],
                "minutes": slot["minutes"],
                "kind": slot["kind"],
                "stations": {group: station(code) for group, code in slot["stations"].items()},
                "adults": {group: list(slot["adults"].get(code, [])) for group, code in slot["stations"].items()},
            }
            for slot in result["slots"]
        ],
        "groups": [{"code": one["code"], "children": [f"c{pk}" for pk in one["children"]]} for one in row.groups],
    }
