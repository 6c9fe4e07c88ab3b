"""Notes to a center's contact before one of its papers ends: each step once."""

from datetime import datetime, time

from django.db import transaction

from clinics.models import Agreement, Center
from clinics.queries.agreements import agreement_book
from clinics.rules.agreements import due_step
from core import clock
from core.formats import counted
from outbox.services.writing import new_note, write_missing
from scheduling.letters.agreements import AGREEMENT_ENDING

__all__ = ["plan_agreement_notices"]

# In the organization's own morning, as the notes about clearances.
AT = time(9)


@transaction.atomic
def plan_agreement_notices(*, now: datetime) -> int:
    """Write the notes that are due by today; returns how many were new. Constant queries.

    Planning twice writes once: the key names the paper, its last day and the step.
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
            step = due_step(last_day, today)
            if step is None:
                continue
            contact = center.agreement_contact
            notes.append(
                new_note(
                    key=f"{AGREEMENT_ENDING}:agreement {line.state.number}:{last_day}:{step}",
                    kind=AGREEMENT_ENDING,
                    to_name=contact.name,
                    to_email=contact.email,
                    summary=f"{center}’s {line.name} expires, to {contact.name} ({counted(step, 'day')} before)"[:200],
                    due_at=datetime.combine(today, AT, clock.home_zone()),
                    about=[Agreement(pk=line.state.number)],
                    last_day=last_day,
                    step=counted(step, "day"),
                )
            )
    return write_missing(notes)
