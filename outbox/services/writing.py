"""Writing notes: the row is made in the event's own transaction; Celery is only woken after it."""

from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Model

from core.enqueue import enqueue
from core.references import references
from outbox.models import Note, NoteState, new_message_id

__all__ = ["drop_waiting", "enqueue_sender", "new_note", "noting", "write_missing", "write_note"]


_heard: ContextVar[list[Note] | None] = ContextVar("heard", default=None)


@contextmanager
def noting() -> Iterator[list[Note]]:
    """Yield a list that gathers the notes written inside the block, and none that others write at the same moment."""
    written: list[Note] = []
    token = _heard.set(written)
    try:
        yield written
    finally:
        _heard.reset(token)


def new_note(
    *,
    key: str,
    kind: str,
    to_name: str,
    to_email: str,
    summary: str,
    due_at: datetime,
    about: Iterable[Model | None] = (),
    language: str = "",
    **facts: Any,
) -> Note:
    """Make a note without writing it. ``about`` are the rows that it speaks of; facts without a value are left out."""
    return Note(
        key=key,
        kind=kind,
        to_name=to_name,
        to_email=to_email,
        summary=summary,
        due_at=due_at,
        about=references(about),
        language=language or settings.LANGUAGE_CODE,
        facts={name: value for name, value in facts.items() if value is not None},
        message_id=new_message_id(),
    )


def write_note(*, key: str, **more: Any) -> Note | None:
    """Write one note, made as ``new_note`` makes it, unless its key is already here.

    Must run inside the event's transaction. Returns the new row, or None when this note was written before: planning
    twice sends once.
    """
    rows = Note.objects.bulk_create([new_note(key=key, **more)], ignore_conflicts=True)
    written = Note.objects.filter(key=key, message_id=rows[0].message_id).first()
    if written is not None:
        _enqueue_after_commit()
        heard = _heard.get()
        if heard is not None:
            heard.append(written)
    return written


def write_missing(notes: Collection[Note]) -> int:
    """Write the planned notes whose key is not here yet, and wake nobody; returns how many. Two queries."""
    known = set(Note.objects.filter(key__in=[note.key for note in notes]).values_list("key", flat=True))
    new = [note for note in notes if note.key not in known]
    # Somebody else may be planning at this moment: the unique key decides, and the loser's row is ignored.
    Note.objects.bulk_create(new, ignore_conflicts=True, batch_size=500)
    return len(new)


def drop_waiting(
    *, why: str, about: Model, kinds: Collection[str] | None = None, but: Collection[str] = (), **which: Any
) -> int:
    """Drop waiting notes about a row that are no longer true; returns how many.

    ``why`` is kept in each. With ``kinds`` only those kinds are dropped; the kinds in ``but`` never are.
    """
    rows = Note.objects.about(about).filter(state=NoteState.WAITING, **which).exclude(kind__in=but)
    if kinds is not None:
        rows = rows.filter(kind__in=kinds)
    return rows.update(state=NoteState.DROPPED, last_answer=why)


def _enqueue_after_commit() -> None:
    """Once for a transaction, however many notes it writes: with Redis away each call costs the page time."""
    if all(entry[1] is not enqueue_sender for entry in transaction.get_connection().run_on_commit):
        transaction.on_commit(enqueue_sender, robust=True)


def enqueue_sender() -> None:
    """Ask a worker to look at the outbox; with Redis away the note waits for beat's next look."""
    enqueue("outbox.send_notes", expires=300)
