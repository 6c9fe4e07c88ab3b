"""What the outbox page and the health page read."""

from datetime import datetime

from scheduling.models import Note, NoteState

__all__ = ["oldest_unsent"]


def oldest_unsent(now: datetime) -> datetime | None:
    """When the longest waiting note that is due should have gone out; None when nothing waits."""
    return (
        Note.objects.filter(state__in=[NoteState.WAITING, NoteState.SENDING], due_at__lte=now)
        .order_by("due_at")
        .values_list("due_at", flat=True)
        .first()
    )
