"""Letters about shifts: asking, moving, releasing, cancelling, reminding."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.translation import gettext, gettext_lazy, ngettext

from clinics.letters.about_clinic import clinic_context, clinic_to_come, live_clinic
from clinics.models import Clinic, Status
from core import links
from core.formats import near_day
from families.queries.allergies import unanswered_count
from outbox.letters import Letter, LetterKind, Stale, Stop, row_of
from outbox.models import Note
from outbox.rules.calendar_part import CalendarPart
from people.models import Volunteer
from shifts.hooks import floor_page_of
from shifts.letters.own_page import own_page_link
from shifts.models import Assignment, Reply

__all__ = [
    "CLINIC_CANCELLED",
    "LETTERS",
    "REMINDER",
    "REMINDERS",
    "SHIFT_ASK",
    "SHIFT_CHANGED",
    "SHIFT_RELEASED",
    "SHIFT_TOLD",
    "assignment_of",
    "shift_link",
]

SHIFT_ASK = "shift-ask"
SHIFT_CHANGED = "shift-changed"
SHIFT_TOLD = "shift-told"
SHIFT_RELEASED = "shift-released"
CLINIC_CANCELLED = "clinic-cancelled"
REMINDER = "reminder"
REMINDERS = Stop("reminders", "stop-reminders", days=180)


def assignment_of(note: Note) -> tuple[Assignment, Volunteer]:
    row = row_of(note, Assignment.objects.select_related("shift__clinic__center"))
    volunteer = row_of(note, Volunteer.objects.all())
    if row is None or volunteer is None:
        raise Stale(gettext("This record is no longer on file."))
    return row, volunteer


def shift_link(row: Assignment, clinic: Clinic) -> str:
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    return links.address("shift-reply", token)


def _part(method: str, note: Note, row: Assignment, context: dict[str, Any]) -> CalendarPart:
    clinic, link = context["clinic"], context.get("link")
    facts = {"time": context["be_there"], "bring": clinic.bring}
    lines = [gettext("Please arrive by %(time)s. Bring: %(bring)s.") % facts]
    if clinic.center.arrival:
        lines.append(clinic.center.arrival)
    if link:
        lines.append(gettext("Answer here: %(link)s") % {"link": link})
    return CalendarPart(
        method=method,
        uid=f"{row.uid}@{links.host()}",
        sequence=note.facts.get("sequence", 0),
        stamped_at=note.written_at,
        starts_at=clinic.starts_at,
        ends_at=clinic.ends_at,
        summary=gettext("%(organization)s: %(duty)s at %(center)s")
        % {"organization": settings.ORGANISATION, "duty": row.shift.duty_name, "center": clinic.center.name},
        location=f"{clinic.center.name}, {clinic.center.address}",
        description="\n".join(lines),
        organizer_email=settings.MAIL_FROM,
        organizer_name=settings.ORGANISATION,
        attendee_email=note.to_email,
        attendee_name=note.to_name,
        confirmed=clinic.status == Status.CONFIRMED,
    )


def shift_ask(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row, volunteer = assignment_of(note)
    if row.released_at is not None:
        raise Stale(gettext("This person was taken off the shift."))
    if row.reply != Reply.NEEDS_ACTION:
        raise Stale(gettext("This person has answered: %(reply)s.") % {"reply": row.get_reply_display()})
    if clinic.starts_at <= now:
        raise Stale(gettext("The clinic has started."))
    link = shift_link(row, clinic)
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "link": link}
    return Letter(context, _part("REQUEST", note, row, context))


def shift_told(note: Note, now: datetime) -> Letter:
    """To somebody who said yes and stays: the hours have changed a little, and so has the calendar."""
    clinic = live_clinic(note, now)
    row, volunteer = assignment_of(note)
    if not row.live or row.reply != Reply.ACCEPTED:
        raise Stale(gettext("This person is no longer coming."))
    if clinic.starts_at <= now:
        raise Stale(gettext("The clinic has started."))
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "link": shift_link(row, clinic)}
    return Letter(context, _part("REQUEST", note, row, context))


def shift_released(note: Note, now: datetime) -> Letter:
    clinic = clinic_to_come(note, now)
    row, volunteer = assignment_of(note)
    if row.live:
        raise Stale(gettext("This person is on the shift again."))
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "because": row.released_because}
    return Letter(context, _part("CANCEL", note, row, context))


def clinic_cancelled(note: Note, now: datetime) -> Letter:
    clinic = clinic_to_come(note, now)
    row, volunteer = assignment_of(note)
    if clinic.status != Status.CANCELLED:
        raise Stale(gettext("The clinic is back on."))
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift}
    return Letter(context, _part("CANCEL", note, row, context))


def reminder(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row, volunteer = assignment_of(note)
    floor = floor_page_of(row)
    if not row.live:
        raise Stale(gettext("This person is no longer on this shift."))
    if note.facts["step"] == "floor":
        # Asked for by the office on the day, because the link was lost: true for as long as the page opens.
        if floor is None or now >= floor.closes_at:
            raise Stale(gettext("This person can no longer open the floor page."))
    else:
        if not volunteer.reminders:
            raise Stale(gettext("This person turned off reminders."))
        if clinic.starts_at <= now:
            raise Stale(gettext("The clinic has started."))
        if _later_reminder_due(note, row, clinic, now):
            raise Stale(gettext("A later reminder covers this one."))
    stop = REMINDERS.address(volunteer, volunteer.link_counter, now)
    context = clinic_context(clinic) | {
        "volunteer": volunteer,
        "shift": row.shift,
        "link": shift_link(row, clinic),
        "stop": stop,
        "own_page": own_page_link(volunteer, now),
        "accepted": row.reply == Reply.ACCEPTED,
        "floor": floor.address if floor is not None else "",
        "allergies_open": unanswered_count(clinic) if floor is not None else 0,
        "not_to_play": _only_watch(floor.not_to_play) if floor is not None else "",
        # Counted when it is sent: a reminder that waited for the mail server must not say what was true before.
        "when": near_day(clinic.day, now.astimezone(clinic.center.tz).date()),
    }
    return Letter(context, stop=stop)


def _only_watch(count: int) -> str:
    """Tell the lead of children who may not play; their names are on the floor page."""
    if not count:
        return ""
    words = ngettext(
        "%(n)s child with a spot isn’t cleared to play and may only watch. The floor page marks them.",
        "%(n)s children with a spot aren’t cleared to play and may only watch. The floor page marks them.",
        count,
    )
    return words % {"n": count}


def _later_reminder_due(note: Note, row: Assignment, clinic: Clinic, now: datetime) -> bool:
    """Whether a reminder nearer the clinic is due already, as after hours without a mail server."""
    others = Note.objects.about(row).filter(kind=REMINDER, facts__revision=clinic.revision)
    return others.filter(due_at__gt=note.due_at, due_at__lte=now).exists()


LETTERS = (
    LetterKind(SHIFT_ASK, gettext_lazy("shift request"), "shifts/mail/shift-ask", shift_ask),
    LetterKind(SHIFT_CHANGED, gettext_lazy("shift time changed"), "shifts/mail/shift-changed", shift_ask),
    LetterKind(SHIFT_TOLD, gettext_lazy("small time change"), "shifts/mail/shift-told", shift_told),
    LetterKind(SHIFT_RELEASED, gettext_lazy("taken off a shift"), "shifts/mail/shift-released", shift_released),
    LetterKind(CLINIC_CANCELLED, gettext_lazy("clinic cancelled"), "shifts/mail/clinic-cancelled", clinic_cancelled),
    LetterKind(REMINDER, gettext_lazy("shift reminder"), "shifts/mail/reminder", reminder, stop=REMINDERS),
)
