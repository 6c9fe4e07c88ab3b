"""Asking guardians before the clinic to sign, and about unanswered allergies: one note a household and step."""

from datetime import datetime, time, timedelta

from django.db import transaction
from django.db.models import Prefetch

from clinics.formatting import clinic_words
from clinics.models import Clinic, Status
from core import clock
from families.letters.families import WAIVER_ASK
from families.models import Guardian, Guardianship, Spot
from families.queries.waivers import open_waivers
from outbox.models import Note
from outbox.rules.due_times import QUIET, ReminderStep, reminder_times
from outbox.services.writing import new_note, write_missing

__all__ = ["WAIVER_SCHEDULE", "plan_waiver_reminders"]

# A guess of ours: early enough to read it in peace, and once more when there is still time.
WAIVER_SCHEDULE = tuple(ReminderStep(f"{days} days", days_before=days, at=time(9)) for days in (14, 7, 2))
REACH = timedelta(days=15)


@transaction.atomic
def plan_waiver_reminders(*, now: datetime) -> int:
    """Ask guardians to sign and to answer about allergies for clinics within reach, in constant queries.

    Returns how many notes were new.

    Asked is the guardian who asked for the spot; where the office gave it, every guardian of the child. A note that is
    due after the waiver was signed drops itself.
    """
    rows = list(
        Spot.objects.live()
        .filter(clinic__starts_at__gt=now, clinic__starts_at__lte=now + REACH, child__forgotten_at=None)
        .exclude(clinic__status=Status.CANCELLED)
        .select_related("guardian", "clinic__center", "child")
        .defer("child__allergies", "child__care_notes")
        .prefetch_related(
            Prefetch("child__guardianships", Guardianship.objects.select_related("guardian").order_by("pk"))
        )
    )
    book = open_waivers((row.child_id for row in rows), clock.home_zone())
    asked: dict[tuple[int, int], tuple[Guardian, Clinic]] = {}
    for row in rows:
        if book.on(row.child_id, row.clinic.day).ok and row.child.allergies_asked:
            continue
        for guardian in _guardians(row):
            if guardian.email and guardian.reminders and guardian.forgotten_at is None:
                asked[guardian.pk, row.clinic_id] = (guardian, row.clinic)
    notes = [
        _note(guardian, clinic, step, due_at)
        for guardian, clinic in asked.values()
        for step, due_at in reminder_times(clinic.starts_at, WAIVER_SCHEDULE, QUIET, clinic.center.tz, now)
    ]
    return write_missing(notes)


def _guardians(row: Spot) -> list[Guardian]:
    if row.guardian is not None:
        return [row.guardian]
    return [link.guardian for link in row.child.guardianships.all()]


def _note(guardian: Guardian, clinic: Clinic, step: str, due_at: datetime) -> Note:
    return new_note(
        key=f"{WAIVER_ASK}:guardian {guardian.pk}:clinic {clinic.pk}:r{clinic.revision}:{step}",
        kind=WAIVER_ASK,
        to_name=guardian.name,
        to_email=guardian.email,
        summary=f"Waiver reminder for {guardian} ({step} before): {clinic_words(clinic)}"[:200],
        due_at=due_at,
        about=[clinic, guardian],
        language=guardian.language,
        revision=clinic.revision,
        step=step,
    )
