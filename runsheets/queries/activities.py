"""Who changed an activity, when, and what it said before."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext

from core.acting import who_did
from core.merge import history_of
from runsheets.models import Activity

__all__ = ["ActivityChange", "activity_history"]

# Most events that a page reads; older ones stay in the database.
MOST = 100


@dataclass(frozen=True)
class ActivityChange:
    at: datetime
    who: str
    what: list[str]


def activity_history(row: Activity) -> list[ActivityChange]:
    """List every change of an activity, newest first, with its parts before and after. Two queries."""
    found = history_of(Activity)._default_manager.filter(pgh_obj_id=row.pk).select_related("pgh_context")
    events = list(found.order_by("-pgh_created_at", "-pgh_id")[: MOST + 1])[::-1]
    author = who_did(events)
    lines = []
    earlier = None
    for event in events:
        who = author(event)
        if event.pgh_label == "insert":
            lines.append(ActivityChange(event.pgh_created_at, who, [gettext("Added.")]))
        elif event.pgh_label == "snapshot":
            lines.append(ActivityChange(event.pgh_created_at, who, [gettext("History starts here.")]))
        elif earlier is not None:
            lines.append(ActivityChange(event.pgh_created_at, who, _changed(row, earlier, event)))
        earlier = event
    return lines[::-1]


def _changed(row: Activity, earlier: Any, event: Any) -> list[str]:
    said = []
    for part in row._meta.concrete_fields:
        was, now = getattr(earlier, part.attname), getattr(event, part.attname)
        if was == now:
            continue
        if part.name == "retired":
            said.append(gettext("Archived.") if now else gettext("Restored."))
            continue
        words = gettext("%(part)s: changed from %(was)s to %(now)s.")
        said.append(words % {"part": capfirst(part.verbose_name), "was": _shown(part, was), "now": _shown(part, now)})
    return said or [gettext("Saved with no changes.")]


def _shown(part: Any, value: Any) -> str:
    if value in ("", None):
        return gettext("nothing")
    words = str(dict(part.flatchoices).get(value, value))
    lines = [line.strip().rstrip(".") for line in words.splitlines() if line.strip()]
    return f"“{' / '.join(lines)}”" if isinstance(value, str) else words
