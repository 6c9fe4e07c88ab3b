"""How a child's waiver stands, in a word."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.formats import short_day
from families.rules.waivers import WaiverStanding

__all__ = ["WAIVER_FILTERS", "until_words", "waiver_flag", "waiver_words"]

# What the list of children can be narrowed by.
WAIVER_FILTERS = (("current", _("Waiver current")), ("not current", _("Waiver missing or expired")))

_STATES = {
    "current": _("current"),
    "expired": _("expired"),
    "older text": _("signed an older version"),
    "withdrawn": _("withdrawn"),
    "missing": _("missing"),
}

# The same where nothing beside it says that it is the waiver.
_WAIVER_STATES = {
    "current": _("waiver current"),
    "expired": _("waiver expired"),
    "older text": _("older waiver version signed"),
    "withdrawn": _("waiver withdrawn"),
    "missing": _("waiver missing"),
}


def waiver_flag(standing: WaiverStanding) -> tuple[str, str]:
    """The flag's kind and its word."""
    return "set" if standing.ok else "stop", str(_STATES[standing.state])


def waiver_words(standing: WaiverStanding) -> str:
    """How the waiver stands, in words that say that it is the waiver."""
    return str(_WAIVER_STATES[standing.state])


def until_words(standing: WaiverStanding) -> str:
    """Say until when it is or was valid; "" where no day says anything, as for a signature that was withdrawn."""
    if standing.until is None or standing.state not in ("current", "expired"):
        return ""
    words = gettext("valid through %(day)s") if standing.ok else gettext("was valid through %(day)s")
    return words % {"day": short_day(standing.until)}
