"""What the history says of a row."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model

from core.acting import who_did
from core.merge import history_of

__all__ = ["Change", "events_of", "last_change"]


@dataclass(frozen=True)
class Change:
    """One field of a row: before, after, the reference to who did it, how, and both in words."""

    before: Any
    after: Any
    by: str
    how: str
    words: str
    at: datetime


def events_of(row: Model) -> list[Any]:
    """The events of one row, the earliest first, with their contexts."""
    events = history_of(type(row))._default_manager.filter(pgh_obj_id=row.pk)
    return list(events.select_related("pgh_context").order_by("pgh_id"))


def last_change(row: Model, field: str) -> Change:
    """The latest change of the field, from its events."""
    events = events_of(row)
    while len(events) > 1 and getattr(events[-1], field) == getattr(events[-2], field):
        events.pop()
    *earlier, event = events
    facts = event.pgh_context.metadata
    return Change(
        before=getattr(earlier[-1], field) if earlier else None,
        after=getattr(event, field),
        by=facts.get("by", ""),
        how=facts["how"],
        words=who_did([event])(event),
        at=event.pgh_created_at,
    )
