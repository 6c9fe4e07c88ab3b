"""Letters about shifts: asking, moving, releasing, cancelling, reminding."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings

from clinics.models import Clinic, Status
from config import links
from scheduling.emails.letter import Letter, Untrue, assignment_of, clinic_context, live_clinic, standing_clinic
from scheduling.emails.own_page import own_page_link
from scheduling.models import Assignment, Note, Reply
from scheduling.queries.outbox import later_reminder_due
from scheduling.rules.calendar_part import CalendarPart
from scheduling.shift_hooks import floor_page_of
from scheduling.words import when_words

__all__ = ["clinic_cancelled", "reminder", "shift_ask", "shift_released", "shift_told"]

STOP_LINK_DAYS = 180


def shift_link(row: Assignment, clinic: Clinic) -> str:
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    return links.address("shift-reply", token)


def _part(method: str, note: Note, row: Assignment, context: dict[str, Any]) -> CalendarPart:
    clinic, link = context["clinic"], context.get("link")
    lines = [f"Be there at {context['be_there']}. Bring: {clinic.bring}."]
    if clinic.center.arrival:
        lines.append(clinic.center.arrival)
    if link:
        lines.append(f"Answer here: {link}")
    return CalendarPart(
        method=method,
        uid=f"{row.uid}@{links.host()}",
        sequence=note.sequence or 0,
        stamped_at=note.written_at,
        starts_at=clinic.starts_at,
        ends_at=clinic.ends_at,
        summary=f"{settings.ORGANISATION}: {row.shift.duty_name} at {clinic.center.name}",
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
        raise Untrue("The shift was released.")
    if row.reply != Reply.NEEDS_ACTION:
        raise Untrue(f"The answer is known: {row.get_reply_display()}.")
    if clinic.starts_at <= now:
        raise Untrue("The clinic has begun.")
    link = shift_link(row, clinic)
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "link": link}
    return Letter(note.kind, context, _part("REQUEST", note, row, context))


def shift_told(note: Note, now: datetime) -> Letter:
    """To somebody who said yes and stays: the hours have changed a little, and so has the calendar."""
    clinic = live_clinic(note, now)
    row, volunteer = assignment_of(note)
    if not row.live or row.reply != Reply.ACCEPTED:
        raise Untrue("The person is no longer coming.")
    if clinic.starts_at <= now:
        raise Untrue("The clinic has begun.")
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "link": shift_link(row, clinic)}
    return Letter(note.kind, context, _part("REQUEST", note, row, context))


def shift_released(note: Note, now: datetime) -> Letter:
    clinic = standing_clinic(note, now)
    row, volunteer = assignment_of(note)
    if row.live:
        raise Untrue("The person is on the shift again.")
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "because": row.released_because}
    return Letter(note.kind, context, _part("CANCEL", note, row, context))


def clinic_cancelled(note: Note, now: datetime) -> Letter:
    clinic = standing_clinic(note, now)
    row, volunteer = assignment_of(note)
    if clinic.status != Status.CANCELLED:
        raise Untrue("The clinic takes place after all.")
    context = clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift}
    return Letter(note.kind, context, _part("CANCEL", note, row, context))


def reminder(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row, volunteer = assignment_of(note)
    floor = floor_page_of(row)
    if not row.live:
        raise Untrue("The person is no longer on this shift.")
    if note.rung == "floor":
        # Asked for by the office on the day, because the link was lost: true for as long as the page opens.
        if floor is None or now >= floor.closes_at:
            raise Untrue("The floor page no longer opens for this person.")
    else:
        if not volunteer.reminders:
            raise Untrue("The person asked for no reminders.")
        if clinic.starts_at <= now:
            raise Untrue("The clinic has begun.")
        if later_reminder_due(note, now):
            raise Untrue("A later reminder for the same shift is due as well.")
    token = links.make(
        "reminders",
        subject=volunteer.pk,
        counter=volunteer.link_counter,
        expires_at=now + timedelta(days=STOP_LINK_DAYS),
    )
    stop = links.address("stop-reminders", token)
    context = clinic_context(clinic) | {
        "volunteer": volunteer,
        "shift": row.shift,
        "link": shift_link(row, clinic),
        "stop": stop,
        "own_page": own_page_link(volunteer, now),
        "accepted": row.reply == Reply.ACCEPTED,
        "floor": floor.address if floor is not None else "",
        # Counted when it is sent: a reminder that waited for the mail server must not say what was true before.
        "when": when_words(clinic.day, now.astimezone(clinic.center.tz).date()),
    }
    # RFC 8058: one press in the mail program, answered by a POST without cookies.
    headers = {"List-Unsubscribe": f"<{stop}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}
    return Letter(note.kind, context, headers=headers)
