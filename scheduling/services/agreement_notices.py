"""Notes to a center's contact before one of its papers ends: each rung once."""

from datetime import datetime, time

from django.db import transaction

from clinics.models import Agreement, Center
from clinics.queries.agreements import agreement_book
from clinics.rules.agreements import due_rung
from config import clock
from scheduling.models import Note, NoteKind, new_message_id

__all__ = ["plan_agreement_notices"]

# In the organisation's own morning, as the notes about clearances.
AT = time(9)


@transaction.atomic
def plan_agreement_notices(*, now: datetime) -> int:
    """Write the notes that are due by today; returns how many were new. Constant queries.

    Planning twice writes once: the key names the paper, its last day and the rung.
    """
    today = now.astimezone(clock.home_zone()).date()
    centers = list(Center.objects.active().prefetch_related("contacts"))
    book = agreement_book(center.pk for center in centers)
    notes = []
    for center in centers:
        for line in book.lines(center, today):
            if not (line.asked and line.state.holds and line.state.last_day):
                continue
            last_day = line.state.last_day
            rung = due_rung(last_day, today)
            if rung is None:
                continue
            contact = center.agreement_contact
            notes.append(
                Note(
                    key=f"{NoteKind.AGREEMENT_ENDING}:agreement {line.state.number}:{last_day}:{rung}",
                    kind=NoteKind.AGREEMENT_ENDING,
                    to_name=contact.name,
                    to_email=contact.email,
                    summary=f"{line.name.capitalize()} of {center} ends, to {contact.name} ({rung} days)"[:200],
                    due_at=datetime.combine(today, AT, clock.home_zone()),
                    agreement=Agreement(pk=line.state.number),
                    last_day=last_day,
                    rung=f"{rung} days",
                    message_id=new_message_id(),
                )
            )
    known = set(Note.objects.filter(key__in=[note.key for note in notes]).values_list("key", flat=True))
    new = [note for note in notes if note.key not in known]
    Note.objects.bulk_create(new, ignore_conflicts=True, batch_size=500)
    return len(new)
