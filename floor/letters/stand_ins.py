"""The letter to somebody who stands in for a clinic's lead."""

from datetime import datetime

from django.utils.translation import gettext, gettext_lazy

from clinics.letters.about_clinic import clinic_context, live_clinic
from core import links
from floor.models import FloorStandIn
from floor.queries.floor_hours import wipe_at
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note

__all__ = ["LETTERS", "STAND_IN", "stand_in_address"]

STAND_IN = "floor-stand-in"


def stand_in_address(row: FloorStandIn) -> str:
    """The link that opens the floor page for who stands in; it ends with the floor page, or when the office ends it."""
    expires_at = wipe_at(row.clinic)
    token = links.make("floor-stand-in", subject=row.pk, counter=row.link_counter, expires_at=expires_at)
    return links.address("floor-open-stand-in", token)


def stand_in(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row = row_of(note, FloorStandIn.objects.select_related("clinic__center", "volunteer"))
    if row is None or row.ended_at is not None:
        raise Stale(gettext("This person no longer stands in for the lead."))
    return Letter(clinic_context(clinic) | {"volunteer": row.volunteer, "link": stand_in_address(row)})


LETTERS = (LetterKind(STAND_IN, gettext_lazy("stand-in for the lead"), "floor/mail/stand-in", stand_in),)
