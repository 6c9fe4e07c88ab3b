"""Emails that have not been sent."""

from collections.abc import Iterator
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from clinics.needs import Need
from outbox.models import Note, NoteState


def note_needs(today: date) -> Iterator[Need]:
    stuck = Note.objects.filter(state=NoteState.STUCK).count()
    if stuck:
        yield Need(
            day=today,
            rank=5,
            headline=ngettext("%(n)d email hasn’t been sent", "%(n)d emails haven’t been sent", stuck) % {"n": stuck},
            detail=gettext("The mail server rejected them, or we couldn’t build them. The Outbox shows why."),
            action_label=gettext("Open the Outbox"),
            action_href=reverse("outbox") + "?state=stuck",
        )
