"""What changed in a child's records, line by line."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.formats import full_date
from families.models import Experience, SpotState
from families.words.spots import ended_words

__all__ = ["FieldChange", "added_words", "changed_words", "removed_words"]

_SUBJECTS = {
    "child": _("Child"),
    "guardianship": _("Guardian"),
    "pickup_person": _("Pickup person"),
    "waiver": _("Waiver"),
    "spot": _("Spot"),
}
_FIELDS = {
    "name": _("name"),
    "birth_date": _("date of birth"),
    "experience": _("experience"),
    "school_year": _("grade"),
    "until": _("valid through"),
    "withdrawn_at": _("withdrawn on"),
    "phone": _("phone"),
    "relation": _("relationship"),
    "must_not": _("must not pick up"),
    "seen": _("reason on file"),
    "ended_at": _("removed on"),
    "state": _("status"),
    "because": _("reason"),
    "emergency_name": _("emergency contact"),
    "emergency_phone": _("emergency contact’s phone"),
}
# Values that the database keeps as codes.
_LABELS: dict[str, Callable[[str], Any]] = {
    "experience": lambda code: Experience(code).label,
    "state": lambda code: SpotState(code).label,
    "because": ended_words,
}


@dataclass(frozen=True)
class FieldChange:
    field: str
    before: Any
    after: Any


def added_words(subject: str, facts: Sequence[tuple[str, Any]]) -> str:
    """Say that a record was added, and with what."""
    what = "; ".join(
        gettext("%(field)s: %(value)s") % {"field": _FIELDS[name], "value": _shown(name, value)}
        for name, value in facts
    )
    if not what:
        return gettext("%(subject)s: added") % {"subject": _SUBJECTS[subject]}
    return gettext("%(subject)s: added (%(what)s)") % {"subject": _SUBJECTS[subject], "what": what}


def changed_words(subject: str, changes: Sequence[FieldChange]) -> str:
    """Say which fields of a record changed; saving it unchanged is said too."""
    if not changes:
        return gettext("%(subject)s: saved with no changes") % {"subject": _SUBJECTS[subject]}
    what = ", ".join(
        gettext("%(field)s changed from “%(before)s” to “%(after)s”")
        % {
            "field": _FIELDS[one.field],
            "before": _shown(one.field, one.before),
            "after": _shown(one.field, one.after),
        }
        for one in changes
    )
    return gettext("%(subject)s: %(what)s") % {"subject": _SUBJECTS[subject], "what": what}


def removed_words(subject: str) -> str:
    return gettext("%(subject)s: removed") % {"subject": _SUBJECTS[subject]}


def _shown(name: str, value: Any) -> str:
    if isinstance(value, bool):
        return gettext("yes") if value else gettext("no")
    if isinstance(value, (date, datetime)):
        return full_date(value, "home")
    if value in (None, ""):
        return gettext("empty")
    return str(_LABELS.get(name, str)(value))
