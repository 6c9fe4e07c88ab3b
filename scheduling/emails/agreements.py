"""The letter to a center's contact before an agreement or a certificate ends."""

from datetime import datetime

from django.conf import settings

from clinics.models import AgreementKind, Clinic
from clinics.queries.agreements import agreement_book
from config import clock
from scheduling.emails.letter import Letter, Untrue
from scheduling.models import Note
from scheduling.words import long_day, long_day_with_year

__all__ = ["agreement_ending"]

MOST_DAYS = 6


def agreement_ending(note: Note, now: datetime) -> Letter:
    row = note.agreement
    if row is None or note.last_day is None or row.taken_back_at is not None:
        raise Untrue("The agreement is no longer in the books.")
    center, kind = row.center, AgreementKind(row.kind)
    if not center.active:
        raise Untrue("We no longer use this center.")
    today = now.astimezone(clock.home_zone()).date()
    line = agreement_book([center.pk]).line(center, kind, today)
    if not line.asked:
        raise Untrue("This center is no longer asked for it.")
    if line.state.last_day != note.last_day:
        raise Untrue("A newer one is on record.")
    left = (note.last_day - today).days
    when = "today is its last day" if left == 0 else f"its last day is in {left} {'day' if left == 1 else 'days'}"
    if left < 0:
        when = "its last day has gone by"
    coming = Clinic.objects.live().filter(center=center, starts_at__gt=now).select_related("center")
    after = [clinic for clinic in coming.order_by("starts_at") if clinic.day > note.last_day]
    context = {
        "center": center,
        "kind": line.name,
        "last_day": long_day_with_year(note.last_day),
        "when": when,
        "days": [long_day(clinic.day) for clinic in after[:MOST_DAYS]],
        "more": max(0, len(after) - MOST_DAYS),
        "send_to": settings.MAIL_FROM,
    }
    return Letter(note.kind, context)
