"""What the outbox page and the health page ask of the outbox."""

from datetime import datetime

from django.db.models import Count, Q, QuerySet

from outbox.models import Note, NoteState

__all__ = ["counts_by_state", "notes", "oldest_unsent"]


def oldest_unsent(now: datetime) -> datetime | None:
    """The time at which the longest waiting note was due; None when no due note waits."""
    return (
        Note.objects.filter(state__in=[NoteState.WAITING, NoteState.SENDING], due_at__lte=now)
        .order_by("due_at")
        .values_list("due_at", flat=True)
        .first()
    )


def notes(*, state: str = "", kind: str = "", words: str = "") -> QuerySet[Note]:
    """Notes, newest first, narrowed by state, kind, and words in the name, address or summary."""
    rows = Note.objects.all()
    if state:
        rows = rows.filter(state=state)
    if kind:
        rows = rows.filter(kind=kind)
    if words:
        rows = rows.filter(Q(to_name__icontains=words) | Q(to_email__icontains=words) | Q(summary__icontains=words))
    return rows.order_by("-due_at", "-pk")


def counts_by_state() -> dict[str, int]:
    found = dict(Note.objects.order_by().values_list("state").annotate(Count("pk")))
    return {state.value: found.get(state.value, 0) for state in NoteState}
