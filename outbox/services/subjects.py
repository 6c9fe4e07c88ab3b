"""What becomes of notes when the row they are about goes, becomes part of another, or speaks another language."""

from collections.abc import Iterable

from django.db import transaction
from django.db.models import F, Func, Model, Value

from core.references import reference
from outbox.models import Note, NoteState

__all__ = ["change_subject", "follow", "forget_about", "forget_about_any", "turn_language"]


@transaction.atomic
def change_subject(*, was: Model, is_now: Model) -> int:
    """Let every note about ``was`` be about ``is_now``; returns how many."""
    new = Func(F("about"), Value(reference(was)), Value(reference(is_now)), function="array_replace")
    return Note.objects.about(was).update(about=new)


def follow(gone: Model, kept: Model) -> None:
    """Let the notes about ``gone`` be about ``kept``. Answers ``core.merge.rows_merging``."""
    change_subject(was=gone, is_now=kept)


@transaction.atomic
def forget_about(*, row: Model) -> int:
    """Delete every note about a row that goes or is forgotten, in whatever state the note is; returns how many."""
    return Note.objects.about(row).delete()[0]


@transaction.atomic
def forget_about_any(*, model: type[Model], numbers: Iterable[int]) -> int:
    """Delete every note about these rows of one model; returns how many. One query."""
    return Note.objects.about_any(model, numbers).delete()[0]


@transaction.atomic
def turn_language(*, about: Model, language: str) -> int:
    """Turn the waiting notes about a row to another language; returns how many."""
    return Note.objects.about(about).filter(state=NoteState.WAITING).update(language=language)
