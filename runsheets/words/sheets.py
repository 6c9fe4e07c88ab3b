"""The run sheet's own words: what goes on, where, and what was different on the day."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from core.formats import counted, listed

__all__ = ["KIND_WORDS", "on_the_side", "rest_words", "station_words", "wait_words", "whole_space"]

KIND_WORDS = {
    "opener": _("Opener"),
    "rotation": _("Stations"),
    "water": _("Water break"),
    "game": _("Game"),
    "closer": _("Closing circle"),
}


def wait_words() -> str:
    """What a group does that waits."""
    return gettext("Wait and watch")


def on_the_side() -> str:
    """Where a group is that waits."""
    return gettext("on the sideline")


def whole_space() -> str:
    return gettext("whole space")


def station_words(number: int, of: int) -> str:
    return gettext("station %(number)d of %(all)d") % {"number": number, "all": of}


def rest_words(rest: Mapping[str, Any]) -> str:
    """Say what was different when a sheet was planned again on the day."""
    parts = []
    if rest.get("late"):
        parts.append(gettext("%(minutes)s late") % {"minutes": counted(rest["late"], "minute")})
    if rest.get("missing"):
        parts.append(gettext("%(names)s missing") % {"names": listed(rest["missing"])})
    out = rest.get("hoops_out")
    if out:
        parts.append(ngettext("%(n)d hoop out of use", "%(n)d hoops out of use", out) % {"n": out})
    if not parts:
        return gettext("Replanned that day. Finished parts are kept.")
    return gettext("Replanned that day: %(changes)s. Finished parts are kept.") % {"changes": listed(parts)}
