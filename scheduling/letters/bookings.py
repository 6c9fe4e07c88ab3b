"""Emails to a center's contact."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.translation import gettext_lazy

from clinics.formatting import children_words
from clinics.letters.about_clinic import clinic_context, live_clinic
from clinics.models import Clinic, Status
from core import links
from core.formats import full_day, listed, long_day, span
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note
from outbox.rules.calendar_part import CalendarPart, FeedEvent
from scheduling.models import SET_UP, Booking, BookingRequest, FormerBooking
from scheduling.queries.asked_days import asked_days
from scheduling.queries.feeds import center_event, former_booking_event
from scheduling.queries.hold_ends import HOLD_ENDING, hold_ends, told_of_end

__all__ = [
    "BOOKING_ASK",
    "BOOKING_ASK_MANY",
    "BOOKING_CALLED_OFF",
    "BOOKING_SHORTER",
    "BOOKING_TAKEN",
    "HOLD_ENDING",
    "LETTERS",
    "SPACE_RELEASED",
]

BOOKING_ASK = "booking-ask"
BOOKING_ASK_MANY = "booking-ask-many"
BOOKING_SHORTER = "booking-shorter"
BOOKING_TAKEN = "booking-taken"
BOOKING_CALLED_OFF = "booking-called-off"
SPACE_RELEASED = "space-released"

# Emails that release a space.
TAKEN_BACK = {BOOKING_CALLED_OFF, SPACE_RELEASED}


def _booking(note: Note) -> Booking:
    booking = row_of(note, Booking.objects.select_related("space__center"))
    if booking is None:
        raise Stale("This record is no longer on file.")
    return booking


def _booking_context(booking: Booking, clinic: Clinic) -> dict[str, Any]:
    tz = clinic.center.tz
    held = span(booking.period.lower.astimezone(tz), booking.period.upper.astimezone(tz))
    return clinic_context(clinic) | {"booking": booking, "space": booking.space, "held": held}


def _part(note: Note, event: FeedEvent | None, partstat: str = "NEEDS-ACTION") -> CalendarPart | None:
    """The event of the center's feed in a mail: the same UID and SEQUENCE, so that either updates the other.

    None where the feed says the opposite: a space given back while another of the same center is held.
    """
    if event is None or (event.status == "CANCELLED") != (note.kind in TAKEN_BACK):
        return None
    return CalendarPart(
        method="CANCEL" if note.kind in TAKEN_BACK else "REQUEST",
        uid=event.uid,
        sequence=event.sequence,
        stamped_at=max(event.stamped_at, note.written_at),
        starts_at=event.starts_at,
        ends_at=event.ends_at,
        summary=event.summary,
        location=event.location,
        description=event.description,
        organizer_email=settings.MAIL_FROM,
        organizer_name=settings.ORGANISATION,
        attendee_email=note.to_email,
        attendee_name=note.to_name,
        confirmed=event.status == "CONFIRMED",
        partstat=partstat,
    )


def booking_ask(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    booking = _booking(note)
    if booking.answer:
        raise Stale(f"The center has answered: {booking.get_answer_display()}.")
    if booking.status == Status.CANCELLED:
        raise Stale("The space was released.")
    if clinic.starts_at <= now:
        raise Stale("The clinic has started.")
    token = links.make("booking", subject=booking.pk, counter=booking.link_counter, expires_at=clinic.starts_at)
    context = _booking_context(booking, clinic) | {"link": links.address("booking-answer", token)}
    return Letter(context, _part(note, center_event(clinic, clinic.center)))


def hold_ending(note: Note, now: datetime) -> Letter:
    """Ask the center the same question once more, with the day on which the space is given back."""
    letter = booking_ask(note, now)
    booking = _booking(note)
    # Nobody holds a space for longer than until its clinic.
    ends = min(hold_ends(booking, told_of_end(booking) or note.written_at), letter.context["clinic"].starts_at)
    letter.context["ends"] = full_day(ends.astimezone(letter.context["center"].tz).date())
    return letter


def booking_ask_many(note: Note, now: datetime) -> Letter:
    """List all days of a question that the center has not answered yet: one page for all, and a link for each."""
    booking_request = row_of(note, BookingRequest.objects.select_related("center"))
    if booking_request is None:
        raise Stale("This record is no longer on file.")
    waiting = list(asked_days(booking_request, now).filter(status=Status.TENTATIVE, answer=""))
    if not waiting:
        raise Stale("The center has answered for every day, or no days are left.")
    # A day may have gone to another space, or have other children, since all were asked for alike.
    spaces = list(dict.fromkeys(row.space.name for row in waiting))
    people = {row.pk: children_words(row.clinic) for row in waiting}
    alike = len(set(people.values())) == 1
    days = []
    for row in waiting:
        token = links.make("booking", subject=row.pk, counter=row.link_counter, expires_at=row.clinic.starts_at)
        hours = span(row.clinic.local_start, row.clinic.local_end)
        words = [f"{full_day(row.clinic.day)}, {hours}"]
        words += [row.space.name] if len(spaces) > 1 else []
        words += [] if alike else [people[row.pk]]
        days.append((", ".join(words), links.address("booking-answer", token)))
    last = max(row.clinic.starts_at for row in waiting)
    token = links.make(
        "booking_request", subject=booking_request.pk, counter=booking_request.link_counter, expires_at=last
    )
    context = _booking_context(waiting[0], waiting[0].clinic)
    context |= {"days": days, "link": links.address("booking-request", token), "spaces": listed(spaces)}
    return Letter(context | {"children": context["children"] if alike else ""})


def booking_called_off(note: Note, now: datetime) -> Letter:
    """Tell the center that a space is given back: the clinic was cancelled, or the hold ran out.

    Day and hours are those of the hold, since the clinic may have another time or center by now.
    """
    booking = _booking(note)
    clinic, center = row_of(note, Clinic.objects.select_related("center")), booking.space.center
    if clinic is None or booking.period.upper <= now:
        raise Stale("The day has passed.")
    again = Booking.objects.live().filter(clinic=clinic, space=booking.space, period__overlap=booking.period)
    if booking.status != Status.CANCELLED or again.exists():
        raise Stale("The space is reserved again.")
    starts, ends = booking.period.lower.astimezone(center.tz), booking.period.upper.astimezone(center.tz)
    context = {
        "space": booking.space,
        "day": long_day((starts + SET_UP).date()),
        "held": span(starts, ends),
        "clinic": clinic,
        "ran_out": clinic.status != Status.CANCELLED,
    }
    return Letter(context, _part(note, center_event(clinic, center)))


def space_released(note: Note, now: datetime) -> Letter:
    """Tell a center that a clinic went away from it, with the facts of the space that the clinic left."""
    left = row_of(note, FormerBooking.objects.select_related("space__center", "clinic"))
    if left is None or left.ends_at <= now:
        raise Stale("The day has passed.")
    period = (left.starts_at, left.ends_at)
    if Booking.objects.live().filter(clinic=left.clinic, space=left.space, period__overlap=period).exists():
        raise Stale("The space is reserved for this clinic again.")
    center = left.space.center
    starts, ends = left.starts_at.astimezone(center.tz), left.ends_at.astimezone(center.tz)
    context = {"space": left.space, "day": full_day(starts.date()), "held": span(starts, ends)}
    return Letter(context, _part(note, former_booking_event(left)))


def booking_shorter(note: Note, now: datetime) -> Letter:
    """Tell a center that we need its space for less time than it agreed to."""
    return _agreed(note, now)


def booking_taken(note: Note, now: datetime) -> Letter:
    """Tell a center that the clinic takes the other time that it named, as its page said that we would."""
    return _agreed(note, now)


def _agreed(note: Note, now: datetime) -> Letter:
    """Of a space that is ours by the center's own word, with nothing to answer."""
    clinic = live_clinic(note, now)
    booking = _booking(note)
    if booking.status != Status.CONFIRMED:
        raise Stale("The space was requested again or released.")
    part = _part(note, center_event(clinic, clinic.center), "ACCEPTED")
    return Letter(_booking_context(booking, clinic), part)


LETTERS = (
    LetterKind(BOOKING_ASK, gettext_lazy("space request"), "scheduling/mail/booking-ask", booking_ask),
    LetterKind(
        BOOKING_ASK_MANY,
        gettext_lazy("space request, several days"),
        "scheduling/mail/booking-ask-many",
        booking_ask_many,
    ),
    LetterKind(HOLD_ENDING, gettext_lazy("space request expiring"), "scheduling/mail/hold-ending", hold_ending),
    LetterKind(BOOKING_SHORTER, gettext_lazy("shorter booking"), "scheduling/mail/booking-shorter", booking_shorter),
    LetterKind(BOOKING_TAKEN, gettext_lazy("suggested time accepted"), "scheduling/mail/booking-taken", booking_taken),
    LetterKind(
        BOOKING_CALLED_OFF, gettext_lazy("space released"), "scheduling/mail/booking-called-off", booking_called_off
    ),
    LetterKind(
        SPACE_RELEASED,
        gettext_lazy("space released, clinic moved elsewhere"),
        "scheduling/mail/space-released",
        space_released,
    ),
)
