"""What a row of a clearance's history says: what was recorded, what was changed, what was removed."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.formats import short_date
from people.models import ClearanceState

__all__ = ["changed_words", "recorded_words", "removed_words"]

RECORDED = {
    "state": _("result %(value)s"),
    "issued_on": _("issued %(value)s"),
    "expires_on": _("last valid day %(value)s"),
    "reference": _("reference number %(value)s"),
}
CHANGED = {
    "state": _("result changed from %(before)s to %(after)s"),
    "issued_on": _("date issued changed from %(before)s to %(after)s"),
    "expires_on": _("last valid day changed from %(before)s to %(after)s"),
    "reference": _("reference number changed from %(before)s to %(after)s"),
    "issuer": _("issuer changed from %(before)s to %(after)s"),
}


def recorded_words(kind: str, facts: Mapping[str, Any]) -> str:
    """``facts`` are the record's own, by field; what is empty is left out."""
    parts = [str(words) % {"value": _said(facts[field])} for field, words in RECORDED.items() if facts[field]]
    return gettext("%(kind)s recorded: %(facts)s") % {"kind": kind, "facts": ", ".join(parts)}


def changed_words(kind: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    parts = [
        str(words) % {"before": _said(before[field]), "after": _said(after[field])}
        for field, words in CHANGED.items()
        if before[field] != after[field]
    ]
    if not parts:
        return gettext("%(kind)s: saved with no changes") % {"kind": kind}
    return gettext("%(kind)s: %(changes)s") % {"kind": kind, "changes": ", ".join(parts)}


def removed_words(kind: str) -> str:
    return gettext("%(kind)s removed") % {"kind": kind}


def _said(value: Any) -> str:
    if isinstance(value, date):
        return short_date(value)
    if value in ClearanceState.values:
        return f"“{ClearanceState(value).label}”"
    return str(value) if value else gettext("empty")
