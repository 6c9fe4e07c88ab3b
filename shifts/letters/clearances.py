"""Letters about clearances: to their holder before they expire, to the admin when one expires before a clinic."""

from datetime import date, datetime

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy, ngettext

from clinics.letters.about_clinic import clinic_context, live_clinic
from core import clock
from core.formats import full_day
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note
from people.models import ClearanceKind, User, Volunteer
from people.queries.standing import open_book
from people.words.standing import why_not
from shifts.letters.own_page import own_page_link
from shifts.letters.shifts import assignment_of

__all__ = ["CLEARANCE_NOTICE", "CLINIC_BREAKS", "LETTERS"]

CLEARANCE_NOTICE = "clearance-notice"
CLINIC_BREAKS = "clinic-breaks"


def clearance_notice(note: Note, now: datetime) -> Letter:
    volunteer, kind = row_of(note, Volunteer.objects.all()), row_of(note, ClearanceKind.objects.all())
    if volunteer is None or kind is None:
        raise Stale(gettext("This record is no longer on file."))
    last_day = date.fromisoformat(note.facts["last_day"])
    if volunteer.left_on is not None:
        raise Stale(gettext("This person is no longer a volunteer."))
    today = now.astimezone(clock.home_zone()).date()
    book = open_book([volunteer.pk])
    last_days = [
        standing.last_days.get(kind.code)
        for standing in (book.on(volunteer.pk, duty, today) for duty in volunteer.duties)
        if kind.code in standing.last_days
    ]
    if last_day not in last_days:
        raise Stale(gettext("The clearance has been renewed or changed."))
    left = (last_day - today).days
    context = {
        "volunteer": volunteer,
        "kind": kind,
        "last_day": full_day(last_day),
        "when": _when(left),
        "own_page": own_page_link(volunteer, now),
    }
    return Letter(context)


def _when(days: int) -> str:
    if days < 0:
        return gettext("it has expired")
    if days == 0:
        return gettext("it expires today")
    return ngettext("it expires in %(n)d day", "it expires in %(n)d days", days) % {"n": days}


def clinic_breaks(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row, volunteer = assignment_of(note)
    if not row.live:
        raise Stale(gettext("This person is no longer on this shift."))
    book = open_book([volunteer.pk])
    standing = book.on(volunteer.pk, row.shift.duty_id, clinic.day, clinic.center.place)
    if standing.ok:
        raise Stale(gettext("The clearance has been renewed."))
    today = now.astimezone(clinic.center.tz).date()
    reasons = why_not(standing, book.kind_names, clinic.day, today)
    context = clinic_context(clinic) | {
        "volunteer": volunteer,
        "shift": row.shift,
        "reasons": reasons,
        "account": row_of(note, User.objects.all()),
        "link": settings.SITE_URL + reverse("horizon") + "?show=breaking",
    }
    return Letter(context)


LETTERS = (
    LetterKind(CLEARANCE_NOTICE, gettext_lazy("clearance to renew"), "shifts/mail/clearance-notice", clearance_notice),
    LetterKind(
        CLINIC_BREAKS, gettext_lazy("clearance expires before a clinic"), "shifts/mail/clinic-breaks", clinic_breaks
    ),
)
