"""Booking a clinic with a center: the hold, the question to the center, its answer, and changes of mind."""

from datetime import UTC, date, datetime, time

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import AgeBand, Center, Clinic, Space, Status
from core.formats import short_day
from core.refusal import Refusal
from core.rules.local_time import TimeDoesNotExist, localize
from core.words import skipped_time
from families.services.spots import carry_spots
from kits.services.holds import hold_kit, hold_kit_if_free, kit_of
from outbox.services.writing import drop_waiting
from scheduling.letters.bookings import BOOKING_ASK, BOOKING_TAKEN, HOLD_ENDING
from scheduling.models import SET_UP, TAKE_DOWN, Answer, Booking, BookingRequest
from scheduling.queries.conflicts import space_conflict
from scheduling.services.clinic_facts import LONGEST, ClinicFacts, check_clinic_facts
from scheduling.services.holds import hold_space
from scheduling.services.notes_to_centers import note_to_center
from shifts.services.moving import asks_again, carry_people, hours_of
from shifts.services.shifts import fit_shifts

__all__ = [
    "ClinicFacts",
    "answer_booking",
    "ask_center",
    "ask_center_again",
    "book_clinic",
    "check_suggestion",
    "confirm_agreed",
    "refuse_unless_changeable",
    "take_suggestion",
    "write_bands",
]


@transaction.atomic
def book_clinic(*, facts: ClinicFacts, now: datetime, booking_request: BookingRequest | None = None) -> Clinic:
    """Book a clinic: 1 lock the space, 2 check, 3 write clinic, hold, shifts and kit, 4 ask the center.

    With ``booking_request`` the clinic is one day of a question for several, and the caller writes to the center.

    Raises Refusal, with the other clinic's name when the space or kit is taken, and writes nothing.
    """
    Space.objects.select_for_update(no_key=True).get(pk=facts.space.pk)
    start, end = check_clinic_facts(facts, now)
    clinic = Clinic.objects.create(
        center=facts.center,
        starts_at=start,
        ends_at=end,
        theme=facts.theme,
        ratio_table=facts.ratio_table,
        offer_next=facts.offer_next,
        funder_table=facts.funder_table,
    )
    write_bands(clinic, facts.bands)
    fit_shifts(clinic)
    booking = hold_space(clinic, facts.space, now)
    hold_kit(clinic, facts.kit)
    if booking_request is not None:
        booking.booking_request = booking_request
        booking.save(update_fields=["booking_request"])
    else:
        ask_center(booking, now)
    return clinic


@transaction.atomic
def answer_booking(
    *,
    booking: Booking,
    answer: str,
    now: datetime,
    words: str = "",
    suggested: tuple[date, time, time] | None = None,
    asked: int | None = None,
) -> Booking:
    """Record the center's answer once; the same answer again changes nothing, another one is refused.

    ``asked`` is the link counter of the question that was answered, so that a yes never counts for hours that the page
    did not show. Without it, the counter of ``booking`` counts, as the caller read it.
    ``suggested`` is a day with start and end at the center, needed for "another time".
    """
    clinic = Clinic.objects.locked(booking.clinic_id)
    seen = booking.link_counter if asked is None else asked
    booking = _lock(booking)
    if booking.link_counter != seen:
        raise Refusal.because(
            "asked anew", gettext("We changed our request after you opened this page. Please check it again.")
        )
    if booking.answer == answer and (answer != Answer.ANOTHER_TIME or _named_already(booking, suggested)):
        return booking
    if booking.answer:
        raise Refusal.because(
            "already answered",
            gettext("We already have your answer: %(answer)s. Call us if that has changed.")
            % {"answer": booking.get_answer_display()},
        )
    if booking.status == Status.CANCELLED or clinic.status == Status.CANCELLED:
        raise Refusal.because(
            "called off", gettext("We no longer need this time. Thank you. You don’t need to do anything.")
        )
    if clinic.starts_at <= now:
        raise Refusal.because("too late", gettext("This clinic has already started, so you can’t answer."))
    if answer == Answer.AGREED:
        booking.status = Status.CONFIRMED
        clinic.status = _settled(clinic)
    elif answer == Answer.NOT_POSSIBLE:
        booking.status = Status.CANCELLED
    elif answer == Answer.ANOTHER_TIME:
        booking.suggested_start, booking.suggested_end = check_suggestion(booking, suggested, now)
    else:
        raise Refusal.because("no such answer", gettext("Choose one of the three answers."), "answer")
    booking.answer, booking.answered_at, booking.answer_words = answer, now, words
    booking.save()
    clinic.save(update_fields=["status"])
    drop_waiting(why=f"The center answered: {Answer(answer).label}.", about=booking, kinds=[BOOKING_ASK])
    return booking


@transaction.atomic
def take_suggestion(*, booking: Booking, now: datetime) -> Clinic:
    """Move the clinic to the time that the center named, which counts as the center's yes, and tell the center.

    A kit that is not free then stays behind. Raises Refusal when no suggestion waits or its time has gone by.
    """
    clinic = Clinic.objects.locked(booking.clinic_id)
    booking = _lock(booking)
    if booking.answer != Answer.ANOTHER_TIME or booking.status == Status.CANCELLED:
        raise Refusal.because("no suggestion", gettext("This clinic has no suggested time waiting for you."))
    refuse_unless_changeable(clinic, now)
    assert booking.suggested_start is not None and booking.suggested_end is not None
    if booking.suggested_start <= now:
        raise Refusal.because(
            "suggestion gone by", gettext("The suggested time has passed. Agree on another time with the center.")
        )
    before = hours_of(clinic)
    clinic.starts_at, clinic.ends_at = booking.suggested_start, booking.suggested_end
    clinic.status = _settled(clinic)
    clinic.revision += 1
    clinic.save()
    held = hold_space(clinic, booking.space, now, booking, answer=Answer.AGREED)
    note_to_center(
        kind=BOOKING_TAKEN,
        booking=held,
        summary=f"Suggested time accepted, {held.space.name}: {clinic_words(clinic)}",
        now=now,
    )
    hold_kit_if_free(clinic, kit_of(clinic))
    carry_people(clinic, now, ask=asks_again(before, clinic))
    carry_spots(clinic=clinic, now=now)
    return clinic


@transaction.atomic
def ask_center_again(*, booking: Booking, now: datetime) -> Booking:
    """Send the center a fresh link; the earlier one stops working. Raises Refusal "nothing to ask"."""
    # The clinic's row first: whoever moves it in this moment would wait for this booking, and our note for the clinic.
    clinic = Clinic.objects.locked(booking.clinic_id)
    booking = _lock(booking)
    if booking.status != Status.TENTATIVE or booking.answer:
        raise Refusal.because("nothing to ask", gettext("This request isn’t waiting for an answer."))
    refuse_unless_changeable(clinic, now)
    booking.link_counter += 1
    booking.asked_at = now
    booking.save(update_fields=["link_counter", "asked_at"])
    ask_center(booking, now)
    return booking


@transaction.atomic
def confirm_agreed(center: Center, now: datetime) -> int:
    """Confirm the center's coming clinics whose space is agreed, once its safety sheet is whole; returns how many.

    It locks all tentative clinics before it looks at their spaces: one may move at this moment, and the yes to another
    may come from somebody who still saw the sheet's empty line.
    """
    if center.safety_missing:
        return 0
    waiting = Clinic.objects.filter(center=center, status=Status.TENTATIVE, starts_at__gt=now)
    locked = [clinic.pk for clinic in waiting.locked_in(waiting.values_list("pk", flat=True))]
    agreed = Booking.objects.live().filter(status=Status.CONFIRMED, clinic__in=locked)
    return Clinic.objects.filter(pk__in=agreed.values("clinic")).update(status=Status.CONFIRMED)


def _named_already(booking: Booking, suggested: tuple[date, time, time] | None) -> bool:
    """Whether it is the very time that the center named before: a button pressed twice says one thing."""
    if suggested is None or booking.suggested_start is None or booking.suggested_end is None:
        return False
    tz = booking.clinic.center.tz
    start, end = booking.suggested_start.astimezone(tz), booking.suggested_end.astimezone(tz)
    return suggested == (start.date(), start.time(), end.time())


def _settled(clinic: Clinic) -> Status:
    """Confirmed; tentative while nobody knows where the defibrillator is or whom to call."""
    return Status.TENTATIVE if clinic.center.safety_missing else Status.CONFIRMED


def _lock(booking: Booking) -> Booking:
    """The booking's row, locked. Whoever needs the clinic's row too takes that one first."""
    # Read after the lock: a join beside it would be looked at with the space that it had before the wait.
    Booking.objects.select_for_update(no_key=True).get(pk=booking.pk)
    return Booking.objects.select_related("clinic__center", "space__center").get(pk=booking.pk)


def write_bands(clinic: Clinic, bands: list[tuple[int, int, int]]) -> None:
    try:
        with transaction.atomic():
            AgeBand.objects.bulk_create(
                AgeBand(clinic=clinic, youngest=low, oldest=high, children=children) for low, high, children in bands
            )
    except IntegrityError as problem:
        raise Refusal.because(
            "bands overlap",
            gettext("Two age groups overlap, or an age range is backward. Each age can be in only one group."),
        ) from problem


def ask_center(booking: Booking, now: datetime) -> None:
    earlier = [BOOKING_ASK, HOLD_ENDING]
    drop_waiting(why="Replaced by a newer request.", about=booking, kinds=earlier)
    note_to_center(
        kind=BOOKING_ASK,
        booking=booking,
        summary=f"Request for {booking.space.name}: {clinic_words(booking.clinic)}",
        now=now,
    )


def refuse_unless_changeable(clinic: Clinic, now: datetime) -> None:
    if clinic.status == Status.CANCELLED:
        raise Refusal.because("cancelled", gettext("This clinic is cancelled. Book a new one instead."))
    if clinic.starts_at <= now:
        raise Refusal.because(
            "started",
            gettext("This clinic started on %(day)s, so it can’t be changed.") % {"day": short_day(clinic.day)},
        )


def check_suggestion(
    booking: Booking, suggested: tuple[date, time, time] | None, now: datetime
) -> tuple[datetime, datetime]:
    if suggested is None:
        raise Refusal.because("no time named", gettext("Enter the day, start, and end that work for you."), "day")
    day, starts, ends = suggested
    tz = booking.clinic.center.tz
    try:
        start, end = localize(day, starts, tz).astimezone(UTC), localize(day, ends, tz).astimezone(UTC)
    except TimeDoesNotExist as problem:
        raise Refusal.because("no such time", skipped_time(problem), "starts") from problem
    if end <= start:
        raise Refusal.because(
            "ends before start", gettext("The end must be after the start. Enter a later end."), "ends"
        )
    if end - start > LONGEST:
        raise Refusal.because("too long", gettext("That’s more than 8 hours. Check the end time."), "ends")
    if start <= now:
        raise Refusal.because("in the past", gettext("That time has passed. Choose a future day and time."), "day")
    refusal = space_conflict(booking.space, (start - SET_UP, end + TAKE_DOWN), but_for=booking.clinic)
    if refusal is not None:
        # The center needn't hear the other clinic's name, only that we have the space then.
        raise Refusal.because(
            "space taken", gettext("We’ve already reserved your space then. Choose another time."), "day"
        )
    return start, end
