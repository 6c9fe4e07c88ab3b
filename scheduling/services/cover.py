"""Covering a clinic: asking one person for one shift, recording the reply, releasing."""

from datetime import datetime

from django.db import IntegrityError, transaction

from clinics.models import Clinic, Status
from config import clock
from config.refusal import Reason, Refusal
from people.models import User, Volunteer, duties
from people.queries.standing import open_book
from people.rules.standing_words import why_not
from scheduling.models import Assignment, NoteKind, Reply, ReplyRecord, Shift
from scheduling.queries.candidates import assignment_period, elsewhere
from scheduling.services.moving import release
from scheduling.services.outbox import drop_waiting, note_to_volunteer
from scheduling.words import clinic_words, short_day, span

__all__ = ["ask_volunteer", "record_reply", "release_volunteer"]


@transaction.atomic
def ask_volunteer(*, shift: Shift, volunteer: Volunteer, by: User | None, now: datetime) -> Assignment:
    """Ask one person for one shift: 1 lock the clinic and shift, 2 check, 3 write, 4 write the note.

    Raises Refusal with every reason against: the clinic is over, the shift is taken, the duty isn't held,
    standing fails on the clinic's day, or the person is elsewhere then.
    """
    clinic = _lock_clinic(shift)
    shift = Shift.objects.select_for_update().get(pk=shift.pk)
    volunteer = Volunteer.objects.get(pk=volunteer.pk)
    reasons = _clinic_reasons(clinic, now) + _person_reasons(shift.duty, volunteer, clinic)
    taken = _taken(shift)
    if taken is not None:
        reasons.append(_taken_reason(taken, volunteer))
    clash = elsewhere(volunteer, assignment_period(clinic))
    if clash is not None and (taken is None or clash.pk != taken.pk):
        reasons.append(_elsewhere_reason(clash))
    if reasons:
        raise Refusal(*reasons)
    assignment = Assignment(shift=shift, volunteer=volunteer, period=assignment_period(clinic), asked_at=now)
    _save_or_say_who(assignment)
    note_to_volunteer(
        kind=NoteKind.SHIFT_ASK,
        assignment=assignment,
        clinic=clinic,
        summary=f"Ask {volunteer}: {shift.duty_name}, {clinic_words(clinic)}",
        now=now,
        sequence=0,
    )
    return assignment


@transaction.atomic
def record_reply(*, assignment: Assignment, reply: str, by: str, now: datetime) -> Assignment:
    """Record a volunteer's answer: 1 lock, 2 check, 3 write the reply and its record, 4 drop what no longer asks.

    The same answer again changes nothing. Another answer is a new row in the history. Declining frees the
    shift at once; accepting is refused when standing fails on the day or the shift has gone to somebody else.
    """
    if reply not in (Reply.ACCEPTED, Reply.DECLINED):
        raise Refusal.because("no such reply", "Choose yes or no.", "reply")
    shift = Shift.objects.get(pk=assignment.shift_id)
    clinic = _lock_clinic(shift)
    row = Assignment.objects.select_for_update(of=("self",)).select_related("volunteer", "shift").get(pk=assignment.pk)
    if row.released_at is not None:
        raise Refusal.because("released", "You are no longer on this shift, so there is nothing to answer.")
    if row.reply == reply:
        return row
    reasons = _clinic_reasons(clinic, now)
    if reply == Reply.ACCEPTED and not reasons:
        reasons = _person_reasons(shift.duty, row.volunteer, clinic)
        taken = _taken(shift)
        if taken is not None and taken.pk != row.pk:
            reasons.append(Reason("taken", "Somebody else has taken this shift since. Thank you for offering."))
        clash = elsewhere(row.volunteer, _period_of(row), but_for=row)
        if clash is not None:
            reasons.append(_elsewhere_reason(clash))
    if reasons:
        raise Refusal(*reasons)
    row.reply, row.replied_at = reply, now
    _save_or_say_who(row)
    ReplyRecord.objects.create(assignment=row, reply=reply, at=now, by=by)
    if reply == Reply.DECLINED:
        drop_waiting(why="The answer was no.", assignment=row)
    return row


@transaction.atomic
def release_volunteer(*, assignment: Assignment, because: str, by: User, now: datetime) -> Assignment:
    """Take somebody off a shift by hand; they are told, and the shift is open again."""
    clinic = _lock_clinic(assignment.shift)
    row = Assignment.objects.select_for_update(of=("self",)).select_related("volunteer", "shift").get(pk=assignment.pk)
    if clinic.ends_at <= now:
        raise Refusal.because("over", "This clinic is over, so its people stay as they were.")
    release(row, clinic, because, now)
    return row


def _lock_clinic(shift: Shift) -> Clinic:
    # The clinic's row first, as everywhere, so that a move and a reply can't hold each other up.
    return Clinic.objects.select_for_update(of=("self",)).select_related("center").get(pk=shift.clinic_id)


def _clinic_reasons(clinic: Clinic, now: datetime) -> list[Reason]:
    if clinic.status == Status.CANCELLED:
        return [Reason("cancelled", "This clinic is cancelled.")]
    if clinic.starts_at <= now:
        return [Reason("started", f"This clinic began on {short_day(clinic.day)} at {clinic.local_start:%H:%M}.")]
    return []


def _person_reasons(duty: str, volunteer: Volunteer, clinic: Clinic) -> list[Reason]:
    reasons = []
    if volunteer.left_on is not None:
        reasons.append(Reason("left", f"{volunteer} left on {short_day(volunteer.left_on)}."))
    if duty not in volunteer.duties:
        reasons.append(Reason("duty not held", f"{volunteer} does not do this duty: {duties().name(duty)}."))
    book = open_book([volunteer.pk])
    standing = book.on(volunteer.pk, duty, clinic.day, clinic.center.place)
    if not standing.ok:
        words = why_not(standing, book.kind_names, clinic.day, clock.today(clinic.center.tz))
        reasons.append(Reason("standing", f"{volunteer} can't stand on {short_day(clinic.day)}: {'; '.join(words)}."))
    return reasons


def _taken(shift: Shift) -> Assignment | None:
    return Assignment.objects.live().filter(shift=shift).select_related("volunteer").first()


def _taken_reason(taken: Assignment, volunteer: Volunteer) -> Reason:
    if taken.volunteer_id == volunteer.pk:
        return Reason(
            "asked already",
            f"{volunteer} has already been asked for this shift: {taken.get_reply_display()}.",
        )
    return Reason("taken", f"{taken.volunteer} has this shift: {taken.get_reply_display()}. Release that first.")


def _elsewhere_reason(clash: Assignment) -> Reason:
    clinic = clash.shift.clinic
    return Reason(
        "elsewhere",
        f"{clash.volunteer} is at {clinic_words(clinic)}, {span(clinic.local_start, clinic.local_end)}, "
        f"as {clash.shift.duty_name} ({clash.get_reply_display()}).",
    )


def _save_or_say_who(row: Assignment) -> None:
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as problem:
        # Somebody was faster between our look and our write: the constraint decided, so name what stands.
        taken = _taken(row.shift)
        if taken is not None and taken.pk != row.pk:
            raise Refusal(_taken_reason(taken, row.volunteer)) from problem
        clash = elsewhere(row.volunteer, _period_of(row), but_for=row if row.pk else None)
        if clash is None:
            raise
        raise Refusal(_elsewhere_reason(clash)) from problem


def _period_of(row: Assignment) -> tuple[datetime, datetime]:
    """The period as a pair, whether it was just set or read from the database."""
    period = row.period
    return (period.lower, period.upper) if hasattr(period, "lower") else tuple(period)
