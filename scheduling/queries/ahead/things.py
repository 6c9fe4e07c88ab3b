"""Kits in the wrong place, and notes that have not gone out."""

from collections.abc import Iterator
from datetime import date, datetime

from django.urls import reverse

from scheduling.models import Note, NoteState
from scheduling.queries.ahead.need import FORTNIGHT, Need
from scheduling.queries.kits import kits_in_wrong_place
from scheduling.words import long_day


def kit_needs(now: datetime) -> Iterator[Need]:
    for astray in kits_in_wrong_place(now, now + FORTNIGHT):
        km = "" if astray.km is None else f" {astray.km:.0f} km as the crow flies."
        yield Need(
            day=astray.clinic.day,
            rank=4,
            headline=f"{astray.kit} is {astray.where}",
            detail=f"It is due at {astray.clinic.center.name} on {long_day(astray.clinic.day)}.{km}",
            action_label="Record the trip",
            action_href=reverse("kits"),
        )


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
