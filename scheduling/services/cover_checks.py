"""What stands against a person on a shift, for every service that puts somebody there."""

from datetime import datetime

from django.db import IntegrityError, transaction

from clinics.models import Clinic, Status
from config import clock
from config.refusal import Reason, Refusal
from people.models import Volunteer, duties
from people.queries.standing import open_book
from people.rules.standing_words import why_not
from scheduling.models import Assignment, Reply, ReplyRecord, Shift
from scheduling.queries.candidates import assignment_period, elsewhere
from scheduling.words import clinic_words, short_day, span

__all__ = [
    "clinic_reasons",
    "elsewhere_reason",
    "holder_of",
    "lock_clinic",
    "period_of",
    "person_reasons",
    "save_or_say_who",
    "take_shift",
    "taken_reason",
]


def lock_clinic(shift: Shift) -> Clinic:
    # The clinic's row first, as everywhere, so that a move and a reply can't hold each other up.
    return Clinic.objects.locked(shift.clinic_id)


def clinic_reasons(clinic: Clinic, now: datetime) -> list[Reason]:
    if clinic.status == Status.CANCELLED:
        return [Reason("cancelled", "This clinic is cancelled.")]
    if clinic.starts_at <= now:
        return [Reason("started", f"This clinic began on {short_day(clinic.day)} at {clinic.local_start:%H:%M}.")]
    return []


def person_reasons(duty: str, volunteer: Volunteer, clinic: Clinic) -> list[Reason]:
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


def holder_of(shift: Shift) -> Assignment | None:
    return Assignment.objects.live().filter(shift=shift).select_related("volunteer").first()


def taken_reason(taken: Assignment, volunteer: Volunteer) -> Reason:
    if taken.volunteer_id == volunteer.pk:
        return Reason(
            "asked already",
            f"{volunteer} has already been asked for this shift: {taken.get_reply_display()}.",
        )
    return Reason("taken", f"{taken.volunteer} has this shift: {taken.get_reply_display()}. Release that first.")


def elsewhere_reason(clash: Assignment) -> Reason:
    clinic = clash.shift.clinic
    return Reason(
        "elsewhere",
        f"{clash.volunteer} is at {clinic_words(clinic)}, {span(clinic.local_start, clinic.local_end)}, "
        f"as {clash.shift.duty_name} ({clash.get_reply_display()}).",
    )


def save_or_say_who(row: Assignment) -> None:
    # Two who write at once for one person would each wait for the other at the exclusion constraint: one goes first.
    Volunteer.objects.select_for_update(no_key=True).get(pk=row.volunteer_id)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as problem:
        # Somebody was faster between our look and our write: the constraint decided, so name what stands.
        taken = holder_of(row.shift)
        if taken is not None and taken.pk != row.pk:
            raise Refusal(taken_reason(taken, row.volunteer)) from problem
        clash = elsewhere(row.volunteer, period_of(row), but_for=row if row.pk else None)
        if clash is None:
            raise
        raise Refusal(elsewhere_reason(clash)) from problem


def period_of(row: Assignment) -> tuple[datetime, datetime]:
    """The period as a pair, whether it was just set or read from the database."""
    period = row.period
    return (period.lower, period.upper) if hasattr(period, "lower") else tuple(period)


def take_shift(shift: Shift, volunteer: Volunteer, clinic: Clinic, *, by: str, now: datetime) -> Assignment:
    """Put somebody on a shift who has said yes already. Must run inside a transaction, after the checks."""
    row = Assignment(
        shift=shift,
        volunteer=volunteer,
        period=assignment_period(clinic),
        asked_at=now,
        reply=Reply.ACCEPTED,
        replied_at=now,
    )
    save_or_say_who(row)
    ReplyRecord.objects.create(assignment=row, reply=Reply.ACCEPTED, at=now, by=by)
    return row
