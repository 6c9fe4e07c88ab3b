"""How a child's waiver stands, in a word."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from families.rules.waivers import WaiverStanding

__all__ = ["WAIVER_FILTERS", "waiver_flag"]

# What the list of children can be narrowed by.
WAIVER_FILTERS = (("in date", _("Waiver current")), ("not in date", _("Waiver missing or expired")))

_STATES = {
    "in date": _("current"),
    "lapsed": _("expired"),
    "older text": _("signed an older version"),
    "withdrawn": _("withdrawn"),
    "missing": _("missing"),
}


def waiver_flag(standing: WaiverStanding) -> tuple[str, str]:
    """The flag's kind and its word."""
    return "set" if standing.ok else "stop", gettext(_STATES[standing.state])
