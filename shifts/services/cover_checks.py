"""What is against a person on a shift, for every service that puts somebody there: the rule's bars as refusals."""

from collections.abc import Sequence
from datetime import datetime
from itertools import groupby

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core import clock
from core.formats import clock_time, short_day
from core.refusal import Reason, Refusal
from people.models import Volunteer
from shifts.models import Assignment, Reply, ReplyRecord, Shift
from shifts.queries.eligibility import assignment_period, bars
from shifts.rules import eligibility
from shifts.words.eligibility import sentence

__all__ = [
    "clinic_reasons",
    "holder_of",
    "lock_clinic",
    "person_reasons",
    "save_or_say_who",
    "take_shift",
    "taken_reason",
]


def lock_clinic(shift: Shift) -> Clinic:
    # The clinic's row first, as everywhere, so that a move and a reply can't hold each other up.
    """Lock the shift's clinic until the transaction ends, and return it."""
    return Clinic.objects.locked(shift.clinic_id)


def clinic_reasons(clinic: Clinic, now: datetime) -> list[Reason]:
    """List what keeps a clinic from being staffed any more: it is "cancelled", or has "started"."""
    if clinic.status == Status.CANCELLED:
        return [Reason("cancelled", gettext("This clinic is cancelled."))]
    if clinic.starts_at <= now:
        facts = {"day": short_day(clinic.day), "time": clock_time(clinic.local_start)}
        return [Reason("started", gettext("This clinic started on %(day)s at %(time)s.") % facts)]
    return []


def person_reasons(
    duty: str, volunteer: Volunteer, clinic: Clinic, *, but_for: Assignment | None = None
) -> list[Reason]:
    """List what bars a person from a duty at a clinic, one sentence for each code.

    ``but_for`` is the assignment in question. What they told us of their time bars nobody whom the office asks by name.
    """
    return _refused(volunteer, clinic, bars(volunteer, duty, clinic, but_for=but_for))


def _refused(volunteer: Volunteer, clinic: Clinic, against: Sequence[eligibility.Reason]) -> list[Reason]:
    today = clock.today(clinic.center.tz)
    by_code = groupby(against, key=lambda reason: reason.code)
    return [Reason(code, sentence(str(volunteer), list(rows), today)) for code, rows in by_code]


def holder_of(shift: Shift) -> Assignment | None:
    """The live assignment of a shift, or None."""
    return Assignment.objects.live().filter(shift=shift).select_related("volunteer").first()


def taken_reason(taken: Assignment, volunteer: Volunteer) -> Reason:
    """Say that ``taken`` has the shift that ``volunteer`` was meant for."""
    if taken.volunteer_id == volunteer.pk:
        facts = {"name": volunteer, "reply": taken.get_reply_display()}
        return Reason("asked already", gettext("%(name)s already has this shift (%(reply)s).") % facts)
    facts = {"name": taken.volunteer, "reply": taken.get_reply_display()}
    return Reason("taken", gettext("%(name)s already has this shift (%(reply)s). Take them off first.") % facts)


def save_or_say_who(row: Assignment) -> None:
    # Two who write at once for one person would each wait for the other at the exclusion constraint: one goes first.
    """Save the assignment. Raises Refusal naming what stands against it when the database's constraints say no."""
    Volunteer.objects.select_for_update(no_key=True).get(pk=row.volunteer_id)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as problem:
        # Somebody was faster between our look and our write: the constraint decided, so name what stands.
        taken = holder_of(row.shift)
        if taken is not None and taken.pk != row.pk:
            raise Refusal(taken_reason(taken, row.volunteer)) from problem
        clinic = row.shift.clinic
        against = bars(row.volunteer, row.shift.duty_id, clinic, but_for=row if row.pk else None)
        clash = [one for one in against if isinstance(one, eligibility.AlreadyThere | eligibility.Elsewhere)]
        if not clash:
            raise
        raise Refusal(*_refused(row.volunteer, clinic, clash)) from problem


def take_shift(shift: Shift, volunteer: Volunteer, clinic: Clinic, *, by: str, now: datetime) -> Assignment:
    """Put a person who has said yes already on a shift. Must run inside a transaction, after the checks."""
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
