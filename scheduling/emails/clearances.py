"""Letters about clearances: to their holder before they lapse, to the admin when one would break a clinic."""

from datetime import datetime

from django.conf import settings
from django.urls import reverse

from config import clock
from people.queries.standing import open_book
from people.rules.standing_words import why_not
from scheduling.emails.letter import Letter, Untrue, assignment_of, clinic_context, live_clinic
from scheduling.emails.own_page import own_page_link
from scheduling.models import Note
from scheduling.words import long_day_with_year

__all__ = ["clearance_notice", "clinic_breaks"]


def clearance_notice(note: Note, now: datetime) -> Letter:
    volunteer, kind = note.volunteer, note.clearance_kind
    if volunteer is None or kind is None or note.last_day is None:
        raise Untrue("The clearance is no longer in the books.")
    if volunteer.left_on is not None:
        raise Untrue("The person has left.")
    today = now.astimezone(clock.home_zone()).date()
    book = open_book([volunteer.pk])
    last_days = [
        standing.last_days.get(kind.code)
        for standing in (book.on(volunteer.pk, duty, today) for duty in volunteer.duties)
        if kind.code in standing.last_days
    ]
    if note.last_day not in last_days:
        raise Untrue("The clearance has been renewed or changed since.")
    left = (note.last_day - today).days
    when = "today is its last day" if left == 0 else f"its last day is in {left} {'day' if left == 1 else 'days'}"
    if left < 0:
        when = "its last day has gone by"
    context = {
        "volunteer": volunteer,
        "kind": kind,
        "last_day": long_day_with_year(note.last_day),
        "when": when,
        "own_page": own_page_link(volunteer, now),
    }
    return Letter(note.kind, context)


def clinic_breaks(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row, volunteer = assignment_of(note)
    if not row.live:
        raise Untrue("The person is no longer on this shift.")
    book = open_book([volunteer.pk])
    standing = book.on(volunteer.pk, row.shift.duty, clinic.day, clinic.center.place)
    if standing.ok:
        raise Untrue("The clearance has been renewed.")
    today = now.astimezone(clinic.center.tz).date()
    reasons = why_not(standing, book.kind_names, clinic.day, today)
    context = clinic_context(clinic) | {
        "volunteer": volunteer,
        "shift": row.shift,
        "reasons": reasons,
        "account": note.account,
        "link": settings.SITE_URL + reverse("horizon") + "?show=breaking",
    }
    return Letter(note.kind, context)
