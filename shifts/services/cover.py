"""Covering a clinic: asking one person for one shift, recording the reply, releasing."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Reason, Refusal
from core.rules.local_time import after_quiet
from outbox.rules.due_times import QUIET
from outbox.services.writing import drop_waiting
from people.models import Volunteer
from shifts.letters.shifts import SHIFT_ASK
from shifts.models import AskingRules, Assignment, Reply, ReplyRecord, Shift
from shifts.queries.candidates import candidates
from shifts.queries.eligibility import assignment_period
from shifts.services.backup import call_backups
from shifts.services.cover_checks import (
    clinic_reasons,
    holder_of,
    lock_clinic,
    person_reasons,
    save_or_say_who,
    taken_reason,
)
from shifts.services.moving import release
from shifts.services.notes_to_volunteers import note_to_volunteer

__all__ = ["ask_volunteer", "offer_next", "open_questions", "record_reply", "release_volunteer"]


@transaction.atomic
def ask_volunteer(*, shift: Shift, volunteer: Volunteer, now: datetime, send_at: datetime | None = None) -> Assignment:
    """Ask one person for one shift: 1 lock the clinic and shift, 2 check, 3 write, 4 write the note.

    The note goes out at ``send_at``, or at once without it.

    Raises Refusal with every reason against: the clinic is over, the shift is taken, the duty isn't held,
    standing fails on the clinic's day, or the person is elsewhere then.
    """
    clinic = lock_clinic(shift)
    shift = Shift.objects.select_for_update(no_key=True).get(pk=shift.pk)
    volunteer = Volunteer.objects.get(pk=volunteer.pk)
    taken = holder_of(shift)
    reasons = clinic_reasons(clinic, now) + person_reasons(shift.duty_id, volunteer, clinic, but_for=taken)
    if taken is not None:
        reasons.append(taken_reason(taken, volunteer))
    if reasons:
        raise Refusal(*reasons)
    assignment = Assignment(shift=shift, volunteer=volunteer, period=assignment_period(clinic), asked_at=now)
    save_or_say_who(assignment)
    note_to_volunteer(
        kind=SHIFT_ASK,
        assignment=assignment,
        clinic=clinic,
        summary=gettext("Ask %(name)s: %(duty)s, %(clinic)s")
        % {"name": volunteer, "duty": shift.duty_name, "clinic": clinic_words(clinic)},
        now=send_at or now,
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
        raise Refusal.because("no such reply", gettext("Choose yes or no."), "reply")
    shift = Shift.objects.get(pk=assignment.shift_id)
    clinic = lock_clinic(shift)
    row = Assignment.objects.locked(assignment.pk)
    if row.released_at is not None:
        text = gettext("You’re no longer on this shift, so you don’t need to answer.")
        raise Refusal.because("released", text)
    if row.reply == reply:
        return row
    before = row.reply
    reasons = clinic_reasons(clinic, now)
    if reply == Reply.ACCEPTED and not reasons:
        reasons = person_reasons(shift.duty_id, row.volunteer, clinic, but_for=row)
        taken = holder_of(shift)
        if taken is not None and taken.pk != row.pk:
            text = gettext("Someone else has taken this shift. Thank you for offering.")
            reasons.append(Reason("taken", text))
    if reasons:
        raise Refusal(*reasons)
    row.reply, row.replied_at = reply, now
    save_or_say_who(row)
    ReplyRecord.objects.create(assignment=row, reply=reply, at=now, by=by)
    if reply == Reply.DECLINED:
        drop_waiting(why=gettext("This person said no."), about=row)
        _after_decline(row, clinic, had_accepted=before == Reply.ACCEPTED, now=now)
    return row


@transaction.atomic
def release_volunteer(*, assignment: Assignment, because: str, now: datetime) -> Assignment:
    """Take a person off a shift by hand, tell them, and open the shift again. Raises Refusal "over"."""
    clinic = lock_clinic(assignment.shift)
    row = Assignment.objects.locked(assignment.pk)
    if clinic.ends_at <= now:
        raise Refusal.because("over", gettext("This clinic is over, so you can’t change who worked it."))
    release(row, clinic, because, now)
    return row


def _after_decline(row: Assignment, clinic: Clinic, *, had_accepted: bool, now: datetime) -> None:
    """Shortly before the clinic all backups are asked at once; with none there, or earlier, the next best."""
    late = clinic.starts_at - now <= timedelta(hours=AskingRules.current().late_hours)
    called = had_accepted and late and call_backups(shift=row.shift, clinic=clinic, dropped=row.volunteer, now=now)
    if not called:
        offer_next(shift=row.shift, clinic=clinic, now=now)


def open_questions(volunteer: Volunteer, now: datetime) -> int:
    """Count the coming shifts that the volunteer was asked for and has not answered."""
    return Assignment.objects.unanswered(now).filter(volunteer=volunteer).count()


def offer_next(*, shift: Shift, clinic: Clinic, now: datetime) -> Assignment | None:
    """Ask the next best person for an open shift, where the coordinator chose that; None when nobody was asked.

    Never asks somebody who was asked for this shift before, said no to this clinic, or has as many open questions as
    one may have. In quiet hours at the center the note waits until they are over. Must run inside a transaction.
    """
    if not clinic.offer_next or clinic_reasons(clinic, now):
        return None
    shift.clinic = clinic
    before = set(Assignment.objects.filter(shift=shift).values_list("volunteer_id", flat=True))
    most = AskingRules.current().most_open
    for candidate in candidates(shift, now.astimezone(clinic.center.tz).date()):
        person = candidate.volunteer
        if not candidate.can or candidate.declined_on is not None or person.pk in before:
            continue
        if open_questions(person, now) >= most:
            continue
        try:
            send_at = after_quiet(now, QUIET, clinic.center.tz)
            return ask_volunteer(shift=shift, volunteer=person, now=now, send_at=send_at)
        except Refusal:
            # Somebody changed since the look a moment ago: the next one then.
            continue
    return None
