"""The email to a center's contact before an agreement or a certificate expires."""

from datetime import date, datetime

from django.conf import settings
from django.utils.translation import gettext, gettext_lazy, ngettext

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
        raise Stale("This record is no longer on file.")
    last_day = date.fromisoformat(note.facts["last_day"])
    center, kind = row.center, AgreementKind(row.kind)
    if not center.active:
        raise Stale("We no longer use this center.")
    today = now.astimezone(clock.home_zone()).date()
    line = agreement_book([center.pk]).line(center, kind, today)
    if not line.asked:
        raise Stale("This center no longer needs one.")
    if line.state.last_day != last_day:
        raise Stale("There is a newer one on file.")
    left = (last_day - today).days
    if left > 0:
        when = ngettext("That’s in %(n)d day.", "That’s in %(n)d days.", left) % {"n": left}
    else:
        when = gettext("That’s today.") if left == 0 else gettext("That date has passed.")
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
    LetterKind(
        AGREEMENT_ENDING, gettext_lazy("agreement expiring"), "scheduling/mail/agreement-ending", agreement_ending
    ),
)
