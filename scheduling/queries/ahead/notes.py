"""Notes that have not gone out."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse

from clinics.needs import Need
from outbox.models import Note, NoteState


def note_needs(today: date) -> Iterator[Need]:
    stuck = Note.objects.filter(state=NoteState.STUCK).count()
    if stuck:
        yield Need(
            day=today,
            rank=5,
            headline=f"{stuck} {'note has' if stuck == 1 else 'notes have'} not gone out",
            detail="The mail server refused. The outbox shows its words.",
            action_label="Open the outbox",
            action_href=reverse("outbox") + "?state=stuck",
        )
