"""The letter to a center's contact before an agreement or a certificate ends."""

from datetime import date, datetime

from django.conf import settings

from clinics.models import Agreement, AgreementKind, Clinic
from clinics.queries.agreements import agreement_book
from core import clock
from core.formats import full_day, long_day
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note

__all__ = ["AGREEMENT_ENDING", "LETTERS"]

AGREEMENT_ENDING = "agreement-ending"

MOST_DAYS = 6


def agreement_ending(note: Note, now: datetime) -> Letter:
    # Its file may be large and is none of the letter's.
    row = row_of(note, Agreement.objects.select_related("center").defer("file"))
    if row is None or row.taken_back_at is not None:
        raise Stale("The agreement is no longer in the books.")
    last_day = date.fromisoformat(note.facts["last_day"])
    center, kind = row.center, AgreementKind(row.kind)
    if not center.active:
        raise Stale("We no longer use this center.")
    today = now.astimezone(clock.home_zone()).date()
    line = agreement_book([center.pk]).line(center, kind, today)
    if not line.asked:
        raise Stale("This center is no longer asked for it.")
    if line.state.last_day != last_day:
        raise Stale("A newer one is on record.")
    left = (last_day - today).days
    when = "today is its last day" if left == 0 else f"its last day is in {left} {'day' if left == 1 else 'days'}"
    if left < 0:
        when = "its last day has gone by"
    coming = Clinic.objects.live().filter(center=center, starts_at__gt=now).select_related("center")
    after = [clinic for clinic in coming.order_by("starts_at") if clinic.day > last_day]
    context = {
        "center": center,
        "kind": line.name,
        "last_day": full_day(last_day),
        "when": when,
        "days": [long_day(clinic.day) for clinic in after[:MOST_DAYS]],
        "more": max(0, len(after) - MOST_DAYS),
        "send_to": settings.MAIL_FROM,
    }
    return Letter(context)


LETTERS = (
    LetterKind(AGREEMENT_ENDING, "agreement about to end", "scheduling/mail/agreement-ending", agreement_ending),
)
