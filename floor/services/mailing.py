"""The lead's floor link once more: for a mail that was lost, on the very day."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Refusal
from floor.services.phones import refuse_unless_open
from outbox.models import Note
from outbox.services.writing import write_note
from shifts.letters.shifts import REMINDER
from shifts.queries.link_pages import lead_of

__all__ = ["mail_floor_link"]


@transaction.atomic
def mail_floor_link(*, clinic: Clinic, now: datetime) -> Note:
    """Write the lead's reminder once more, with the link: 1 lock the clinic, 2 check, 3 write the note.

    Twice within a minute is one note. Raises Refusal: "cancelled", "nobody leads", "too early", "over", "no mail".
    """
    locked = Clinic.objects.locked(clinic.pk)
    row = lead_of(locked)
    if locked.live and row is None:
        raise Refusal.because("nobody leads", gettext("No one has accepted to lead this clinic. Find a lead first."))
    refuse_unless_open(locked, now)
    assert row is not None
    if not row.volunteer.email:
        raise Refusal.because("no mail", gettext("%(name)s has no email address. Call them.") % {"name": row.volunteer})
    key = f"{REMINDER}:assignment {row.pk}:r{locked.revision}:floor {now:%Y%m%d%H%M}"
    summary = gettext("Floor page link to %(name)s: %(clinic)s") % {
        "name": row.volunteer,
        "clinic": clinic_words(locked),
    }
    written = write_note(
        key=key,
        kind=REMINDER,
        to_name=row.volunteer.name,
        to_email=row.volunteer.email,
        summary=summary[:200],
        due_at=now,
        about=[locked, row, row.volunteer],
        revision=locked.revision,
        step="floor",
    )
    return written or Note.objects.get(key=key)
