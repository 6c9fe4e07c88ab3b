"""What each kind of note says, and whether it is still true. One function per kind."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from clinics.models import Clinic, Status
from config import clock, links
from people.models import Application, Volunteer
from people.queries.standing import open_book
from people.rules.standing_words import why_not
from scheduling.models import BE_THERE_BEFORE, Assignment, Booking, Note, NoteKind, Reply
from scheduling.queries.clinics import children_words
from scheduling.queries.link_pages import lead_name
from scheduling.rules.calendar_part import CalendarPart
from scheduling.words import clinic_words, long_day, long_day_with_year, span

__all__ = ["Letter", "Untrue", "letter_for"]

STOP_LINK_DAYS = 180
OWN_PAGE_DAYS = 180
APPLY_DAYS = 14


class Untrue(Exception):
    """The note is no longer true; its text says why and is kept in the outbox."""


@dataclass
class Letter:
    template: str
    context: dict[str, Any]
    part: CalendarPart | None = None
    headers: dict[str, str] = field(default_factory=dict)


def letter_for(note: Note, now: datetime) -> Letter:
    """Everything the note says as of ``now``; Untrue when it should not go out any more.

    ``note`` needs ``clinic__center``, ``booking__space``, ``assignment__shift`` and ``volunteer`` loaded.
    """
    return KINDS[NoteKind(note.kind)](note, now)


def _clinic(note: Note, now: datetime) -> Clinic:
    clinic = note.clinic
    if clinic is None:
        raise Untrue("The clinic is no longer in the books.")
    if clinic.ends_at <= now:
        raise Untrue("The clinic is over.")
    return clinic


def _live_clinic(note: Note, now: datetime) -> Clinic:
    clinic = _clinic(note, now)
    if clinic.status == Status.CANCELLED:
        raise Untrue("The clinic was cancelled.")
    if note.revision != clinic.revision:
        raise Untrue("The clinic has moved since this was written.")
    return clinic


def _assignment(note: Note) -> tuple[Assignment, Volunteer]:
    if note.assignment is None or note.volunteer is None:
        raise Untrue("The shift is no longer in the books.")
    return note.assignment, note.volunteer


def _clinic_context(clinic: Clinic) -> dict[str, Any]:
    return {
        "clinic": clinic,
        "center": clinic.center,
        "title": clinic_words(clinic),
        "day": long_day(clinic.day),
        "hours": span(clinic.local_start, clinic.local_end),
        "be_there": f"{(clinic.starts_at - BE_THERE_BEFORE).astimezone(clinic.center.tz):%H:%M}",
        "children": children_words(clinic),
        "lead": lead_name(clinic),
    }


def _shift_link(row: Assignment, clinic: Clinic) -> str:
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    return links.address("shift-reply", token)


def _part(method: str, note: Note, row: Assignment, clinic: Clinic, link: str = "") -> CalendarPart:
    context = _clinic_context(clinic)
    lines = [f"Be there at {context['be_there']}. Bring: {clinic.bring}."]
    if clinic.center.arrival:
        lines.append(clinic.center.arrival)
    if link:
        lines.append(f"Answer here: {link}")
    host = settings.SITE_URL.split("//", 1)[-1].split(":")[0]
    return CalendarPart(
        method=method,
        uid=f"{row.uid}@{host}",
        sequence=note.sequence or 0,
        stamped_at=note.written_at,
        starts_at=clinic.starts_at,
        ends_at=clinic.ends_at,
        summary=f"{settings.ORGANISATION}: {row.shift.get_duty_display()} at {clinic.center.name}",
        location=f"{clinic.center.name}, {clinic.center.address}",
        description="\n".join(lines),
        organizer_email=settings.MAIL_FROM,
        organizer_name=settings.ORGANISATION,
        attendee_email=note.to_email,
        attendee_name=note.to_name,
        confirmed=clinic.status == Status.CONFIRMED,
    )


def _shift_ask(note: Note, now: datetime) -> Letter:
    clinic = _live_clinic(note, now)
    row, volunteer = _assignment(note)
    if row.released_at is not None:
        raise Untrue("The shift was released.")
    if row.reply != Reply.NEEDS_ACTION:
        raise Untrue(f"The answer is known: {row.get_reply_display()}.")
    if clinic.starts_at <= now:
        raise Untrue("The clinic has begun.")
    link = _shift_link(row, clinic)
    context = _clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "link": link}
    return Letter(note.kind, context, _part("REQUEST", note, row, clinic, link))


def _shift_released(note: Note, now: datetime) -> Letter:
    clinic = _clinic(note, now)
    row, volunteer = _assignment(note)
    if row.live:
        raise Untrue("The person is on the shift again.")
    context = _clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift, "because": row.released_because}
    return Letter(note.kind, context, _part("CANCEL", note, row, clinic))


def _clinic_cancelled(note: Note, now: datetime) -> Letter:
    clinic = _clinic(note, now)
    row, volunteer = _assignment(note)
    if clinic.status != Status.CANCELLED:
        raise Untrue("The clinic takes place after all.")
    context = _clinic_context(clinic) | {"volunteer": volunteer, "shift": row.shift}
    return Letter(note.kind, context, _part("CANCEL", note, row, clinic))


def _reminder(note: Note, now: datetime) -> Letter:
    clinic = _live_clinic(note, now)
    row, volunteer = _assignment(note)
    if not row.live:
        raise Untrue("The person is no longer on this shift.")
    if not volunteer.reminders:
        raise Untrue("The person asked for no reminders.")
    if clinic.starts_at <= now:
        raise Untrue("The clinic has begun.")
    token = links.make(
        "reminders",
        subject=volunteer.pk,
        counter=volunteer.link_counter,
        expires_at=now + timedelta(days=STOP_LINK_DAYS),
    )
    stop = links.address("stop-reminders", token)
    context = _clinic_context(clinic) | {
        "volunteer": volunteer,
        "shift": row.shift,
        "link": _shift_link(row, clinic),
        "stop": stop,
        "own_page": own_page_link(volunteer, now),
        "accepted": row.reply == Reply.ACCEPTED,
        "when": {"7 days": "in a week", "48 hours": "in two days", "morning": "today"}.get(note.rung, "soon"),
    }
    # RFC 8058: one press in the mail program, answered by a POST without cookies.
    headers = {"List-Unsubscribe": f"<{stop}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}
    return Letter(note.kind, context, headers=headers)


def _clearance_notice(note: Note, now: datetime) -> Letter:
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


def _clinic_breaks(note: Note, now: datetime) -> Letter:
    clinic = _live_clinic(note, now)
    row, volunteer = _assignment(note)
    if not row.live:
        raise Untrue("The person is no longer on this shift.")
    book = open_book([volunteer.pk])
    standing = book.on(volunteer.pk, row.shift.duty, clinic.day, clinic.center.place)
    if standing.ok:
        raise Untrue("The clearance has been renewed.")
    today = now.astimezone(clinic.center.tz).date()
    reasons = why_not(standing, book.kind_names, clinic.day, today)
    context = _clinic_context(clinic) | {
        "volunteer": volunteer,
        "shift": row.shift,
        "reasons": reasons,
        "account": note.account,
        "link": settings.SITE_URL + reverse("horizon") + "?show=breaking",
    }
    return Letter(note.kind, context)


def own_page_link(volunteer: Volunteer, now: datetime) -> str:
    expires_at = now + timedelta(days=OWN_PAGE_DAYS)
    token = links.make("me", subject=volunteer.pk, counter=volunteer.link_counter, expires_at=expires_at)
    return links.address("own-page", token)


def _own_page(note: Note, now: datetime) -> Letter:
    volunteer = note.volunteer
    if volunteer is None or volunteer.left_on is not None:
        raise Untrue("The person has left.")
    return Letter(note.kind, {"volunteer": volunteer, "link": own_page_link(volunteer, now)})


def _application(note: Note) -> Application:
    if note.application is None:
        raise Untrue("The application is no longer in the books.")
    return note.application


def _apply_link(note: Note, now: datetime) -> Letter:
    """Confirming the address, or answering one more question: both by the application's link."""
    row = _application(note)
    wanted = Application.State.UNCONFIRMED if note.kind == NoteKind.APPLY_CONFIRM else Application.State.MORE_ASKED
    if row.state != wanted:
        raise Untrue(f"The application has gone on: {row.get_state_display()}.")
    expires_at = now + timedelta(days=APPLY_DAYS)
    token = links.make("apply", subject=row.pk, counter=row.link_counter, expires_at=expires_at)
    return Letter(note.kind, {"row": row, "link": links.address("join-link", token)})


def _apply_decided(note: Note, now: datetime) -> Letter:
    row = _application(note)
    context: dict[str, Any] = {"row": row}
    if row.state == Application.State.ACCEPTED and row.volunteer is not None:
        context["link"] = own_page_link(row.volunteer, now)
    return Letter(note.kind, context)


def _booking(note: Note) -> Booking:
    if note.booking is None:
        raise Untrue("The booking is no longer in the books.")
    return note.booking


def _booking_context(booking: Booking, clinic: Clinic) -> dict[str, Any]:
    tz = clinic.center.tz
    held = span(booking.period.lower.astimezone(tz), booking.period.upper.astimezone(tz))
    return _clinic_context(clinic) | {"booking": booking, "space": booking.space, "held": held}


def _booking_ask(note: Note, now: datetime) -> Letter:
    clinic = _live_clinic(note, now)
    booking = _booking(note)
    if booking.answer:
        raise Untrue(f"The center has answered: {booking.get_answer_display()}.")
    if booking.status == Status.CANCELLED:
        raise Untrue("The hold was given back.")
    if clinic.starts_at <= now:
        raise Untrue("The clinic has begun.")
    token = links.make("booking", subject=booking.pk, counter=booking.link_counter, expires_at=clinic.starts_at)
    context = _booking_context(booking, clinic) | {"link": links.address("booking-answer", token)}
    return Letter(note.kind, context)


def _booking_called_off(note: Note, now: datetime) -> Letter:
    clinic = _clinic(note, now)
    booking = _booking(note)
    if booking.status != Status.CANCELLED:
        raise Untrue("The floor is held again.")
    return Letter(note.kind, _booking_context(booking, clinic))


def _password_reset(note: Note, now: datetime) -> Letter:
    account = note.account
    if account is None or not account.is_active:
        raise Untrue("The account is closed.")
    # Made now and never stored: whoever reads the outbox must not be able to take an account over.
    uid = urlsafe_base64_encode(force_bytes(account.pk))
    token = default_token_generator.make_token(account)
    link = settings.SITE_URL + reverse("password_reset_confirm", args=[uid, token])
    return Letter(note.kind, {"account": account, "link": link})


KINDS: dict[NoteKind, Callable[[Note, datetime], Letter]] = {
    NoteKind.SHIFT_ASK: _shift_ask,
    NoteKind.SHIFT_CHANGED: _shift_ask,
    NoteKind.SHIFT_RELEASED: _shift_released,
    NoteKind.CLINIC_CANCELLED: _clinic_cancelled,
    NoteKind.REMINDER: _reminder,
    NoteKind.BOOKING_ASK: _booking_ask,
    NoteKind.BOOKING_CALLED_OFF: _booking_called_off,
    NoteKind.PASSWORD_RESET: _password_reset,
    NoteKind.CLEARANCE_NOTICE: _clearance_notice,
    NoteKind.CLINIC_BREAKS: _clinic_breaks,
    NoteKind.OWN_PAGE: _own_page,
    NoteKind.APPLY_CONFIRM: _apply_link,
    NoteKind.APPLY_MORE: _apply_link,
    NoteKind.APPLY_ACCEPTED: _apply_decided,
    NoteKind.APPLY_DECLINED: _apply_decided,
}
