"""The backups of a clinic: put there, taken off, all asked at once when somebody drops out late, first yes wins."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Refusal
from people.models import User, Volunteer
from people.services.accounts import note_to_account
from shifts.letters.backup_swaps import BACKUP, BACKUP_CALL, LATE_DROP
from shifts.models import Backup, BackupCall, Shift
from shifts.services.cover_checks import (
    clinic_reasons,
    holder_of,
    lock_clinic,
    person_reasons,
    take_shift,
)
from shifts.services.notes_to_volunteers import note_about_clinic

__all__ = ["answer_call", "call_backups", "end_backup", "make_backup"]


@transaction.atomic
def make_backup(*, shift: Shift, volunteer: Volunteer, now: datetime) -> Backup:
    """Make somebody a backup for a duty at a clinic, and tell them. Twice is harmless."""
    clinic = lock_clinic(shift)
    volunteer = Volunteer.objects.select_for_update(no_key=True).get(pk=volunteer.pk)
    reasons = clinic_reasons(clinic, now) + person_reasons(shift.duty_id, volunteer, clinic)
    if reasons:
        raise Refusal(*reasons)
    row, new = Backup.objects.get_or_create(
        clinic=clinic, duty_id=shift.duty_id, volunteer=volunteer, defaults={"since": now}
    )
    if new:
        summary = gettext("Backup: %(name)s, %(clinic)s") % {"name": volunteer, "clinic": clinic_words(clinic)}
        _note(BACKUP, f"backup {row.pk}", row, volunteer, clinic, summary, now)
    return row


@transaction.atomic
def end_backup(*, backup: Backup) -> None:
    """Make somebody a backup no longer, by their own link or by the office. Twice is harmless."""
    Backup.objects.filter(pk=backup.pk).delete()


def call_backups(*, shift: Shift, clinic: Clinic, dropped: Volunteer, now: datetime) -> int:
    """Answer a late dropout: 1 alert the coordinators, 2 ask at once every backup who still can.

    Must run inside the transaction of the decline. Returns how many were asked.
    """
    called = 0
    for backup in Backup.objects.filter(clinic=clinic, duty__code=shift.duty_id).select_related("volunteer"):
        person = backup.volunteer
        if person.pk == dropped.pk or person_reasons(shift.duty_id, person, clinic):
            continue
        call = BackupCall.objects.create(shift=shift, volunteer=person, asked_at=now)
        summary = gettext("Backup asked: %(name)s, %(clinic)s") % {"name": person, "clinic": clinic_words(clinic)}
        _note(BACKUP_CALL, f"call {call.pk}", call, person, clinic, summary, now)
        called += 1
    accounts = User.objects.filter(groups__name__in=("coordinator", "admin"), is_active=True).distinct()
    for account in accounts:
        note_to_account(
            kind=LATE_DROP,
            account=account,
            summary=gettext("%(name)s can’t make it (late): %(clinic)s")
            % {"name": dropped, "clinic": clinic_words(clinic)},
            key=f"{LATE_DROP}:account {account.pk}:shift {shift.pk}:{now:%Y-%m-%dT%H:%M:%S}",
            now=now,
            about=[clinic, dropped],
            revision=clinic.revision,
        )
    return called


@transaction.atomic
def answer_call(*, call: BackupCall, yes: bool, now: datetime) -> BackupCall:
    """Answer a call: the first yes takes the shift, a later one is thanked. The same answer again changes nothing."""
    shift = Shift.objects.get(pk=call.shift_id)
    clinic = lock_clinic(shift)
    row = BackupCall.objects.select_for_update(no_key=True, of=("self",)).select_related("volunteer").get(pk=call.pk)
    if row.answer:
        return row
    reasons = clinic_reasons(clinic, now)
    row.answered_at = now
    if yes and not reasons and holder_of(shift) is not None:
        row.answer = "too late"
    elif yes:
        reasons += person_reasons(shift.duty_id, row.volunteer, clinic)
        if not reasons:
            take_shift(shift, row.volunteer, clinic, by=gettext("%(name)s, backup") % {"name": row.volunteer}, now=now)
            Backup.objects.filter(clinic=clinic, volunteer=row.volunteer).delete()
            row.answer = "took it"
    else:
        row.answer = "no"
    if reasons:
        raise Refusal(*reasons)
    row.save()
    return row


def _note(
    kind: str, what: str, row: Backup | BackupCall, person: Volunteer, clinic: Clinic, summary: str, now: datetime
) -> None:
    note_about_clinic(kind=kind, what=what, volunteer=person, clinic=clinic, summary=summary, now=now, about=[row])
