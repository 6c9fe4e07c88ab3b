"""A plan of kit trips in words: its notes, why there is none, and where a trip starts."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext

from core.formats import amount, listed

__all__ = ["plan_notes", "plan_trouble", "trip_start"]


def plan_notes(notes: Sequence[str | Mapping[str, Any]]) -> list[str]:
    """Say what a stored plan notes; older plans hold the sentences themselves."""
    return [note if isinstance(note, str) else _note(note["code"], note["facts"]) for note in notes]


def _note(code: str, facts: Mapping[str, Any]) -> str:
    if code == "not on the map":
        words = gettext("For centers that aren’t on the map, we assume %(km)s km to everywhere.")
        return words % {"km": amount(facts["km"])}
    words = gettext("Not used, because something is expired or missing: %(kits)s.")
    return words % {"kits": listed(facts["kits"])}


def plan_trouble(trouble: str) -> str:
    """Say why a search found nothing; an older one holds the sentence itself."""
    if trouble == "no time":
        return gettext("We ran out of time before finding the best trips. Choose fewer days.")
    return trouble


def trip_start(trip: Mapping[str, Any]) -> str:
    return trip["from"] or trip.get("holder") or gettext("a location not recorded")
