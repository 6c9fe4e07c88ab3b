"""Planning reminders: one row per person, clinic revision and step, however often planning runs."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Status
from outbox.models import Note
from outbox.rules.due_times import QUIET
from outbox.services.writing import new_note, write_missing
from shifts.letters.shifts import REMINDER
from shifts.models import Assignment
from shifts.rules.reminder_times import SCHEDULE, reminder_times

__all__ = ["plan_reminders"]

REACH = timedelta(days=8)


@transaction.atomic
def plan_reminders(*, now: datetime) -> int:
    """Write the reminders of clinics that start within eight days; returns how many were new. Two queries.

    Of those who want reminders, it reminds everybody who accepted and asks again everybody who has not answered. A
    note that is no longer true when it is due drops itself.
    """
    rows = (
        Assignment.objects.live()
        .filter(volunteer__reminders=True, shift__clinic__starts_at__gt=now, shift__clinic__starts_at__lte=now + REACH)
        .exclude(shift__clinic__status=Status.CANCELLED)
        .select_related("volunteer", "shift__clinic__center")
    )
    notes = [_note(row, step, due_at) for row in rows for step, due_at in _times(row, now)]
    return write_missing(notes)


def _times(row: Assignment, now: datetime) -> list[tuple[str, datetime]]:
    clinic = row.shift.clinic
    times = reminder_times(clinic.starts_at, SCHEDULE, QUIET, clinic.center.tz, now)
    # Somebody asked this minute needs no reminder of it yet.
    return [(step, at) for step, at in times if at > row.asked_at]


def _note(row: Assignment, step: str, due_at: datetime) -> Note:
    clinic = row.shift.clinic
    return new_note(
        key=f"{REMINDER}:assignment {row.pk}:r{clinic.revision}:{step}",
        kind=REMINDER,
        to_name=row.volunteer.name,
        to_email=row.volunteer.email,
        summary=gettext("Reminder to %(name)s (%(step)s): %(clinic)s")
        % {"name": row.volunteer, "step": step, "clinic": clinic_words(clinic)},
        due_at=due_at,
        about=[clinic, row, row.volunteer],
        revision=clinic.revision,
        step=step,
    )
