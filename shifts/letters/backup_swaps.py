"""Letters about backups, late dropouts and swaps."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from clinics.letters.about_clinic import clinic_context, clinic_to_come, live_clinic
from clinics.models import Clinic
from core import links
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note
from people.models import User, Volunteer, duties
from shifts.letters.shifts import assignment_of, shift_link
from shifts.models import Backup, BackupCall, Swap

__all__ = ["BACKUP", "BACKUP_CALL", "BACKUP_ENDED", "LATE_DROP", "LETTERS", "SWAP_ASK", "SWAP_DONE"]

BACKUP = "backup"
BACKUP_ENDED = "backup-ended"
BACKUP_CALL = "backup-call"
LATE_DROP = "late-drop"
SWAP_ASK = "swap-ask"
SWAP_DONE = "swap-done"


def _volunteer(note: Note) -> Volunteer:
    volunteer = row_of(note, Volunteer.objects.all())
    if volunteer is None or volunteer.left_on is not None:
        raise Stale(gettext("This person is no longer a volunteer."))
    return volunteer


def _not_begun(clinic: Clinic, now: datetime) -> None:
    if clinic.starts_at <= now:
        raise Stale(gettext("The clinic has started."))


def backup(note: Note, now: datetime) -> Letter:
    clinic, volunteer = live_clinic(note, now), _volunteer(note)
    row = row_of(note, Backup.objects.all())
    if row is None:
        raise Stale(gettext("This person is no longer a backup."))
    token = links.make("backup", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    link = links.address("backup-link", token)
    context = {"volunteer": volunteer, "duty": duties().noun(row.duty_id), "link": link}
    return Letter(clinic_context(clinic) | context)


def backup_call(note: Note, now: datetime) -> Letter:
    clinic, volunteer = live_clinic(note, now), _volunteer(note)
    _not_begun(clinic, now)
    row = row_of(note, BackupCall.objects.select_related("shift"))
    if row is None or row.answer:
        raise Stale(gettext("This person has answered."))
    if row.shift.assignments.live().exists():
        raise Stale(gettext("Someone already took the shift."))
    token = links.make("call", subject=row.pk, counter=row.link_counter, expires_at=clinic.starts_at)
    link = links.address("backup-call", token)
    context = {"volunteer": volunteer, "duty_ask": row.shift.duty_ask, "link": link}
    return Letter(clinic_context(clinic) | context)


def backup_ended(note: Note, now: datetime) -> Letter:
    """The clinic went to another time or was cancelled, so nobody need keep the old hour free."""
    clinic, volunteer = clinic_to_come(note, now), _volunteer(note)
    if Backup.objects.filter(clinic=clinic, volunteer=volunteer).exists():
        raise Stale(gettext("This person is a backup again."))
    return Letter(clinic_context(clinic) | {"volunteer": volunteer})


def late_drop(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    account, volunteer = row_of(note, User.objects.all()), row_of(note, Volunteer.objects.all())
    if account is None or volunteer is None:
        raise Stale(gettext("This record is no longer on file."))
    calls = BackupCall.objects.filter(shift__clinic=clinic, asked_at__gte=note.due_at).select_related("volunteer")
    context = {
        "account": account,
        "volunteer": volunteer,
        "called": [call.volunteer.name for call in calls],
        "link": settings.SITE_URL + reverse("clinic", args=[clinic.pk]),
    }
    return Letter(clinic_context(clinic) | context)


def _swap(note: Note, now: datetime) -> tuple[Swap, Clinic, dict[str, Any]]:
    clinic = live_clinic(note, now)
    _not_begun(clinic, now)
    swap = row_of(note, Swap.objects.select_related("assignment__volunteer", "assignment__shift", "to"))
    if swap is None:
        raise Stale(gettext("This record is no longer on file."))
    return swap, clinic, clinic_context(clinic) | {"volunteer": _volunteer(note)}


def swap_ask(note: Note, now: datetime) -> Letter:
    swap, clinic, context = _swap(note, now)
    if swap.state != Swap.State.ASKED:
        raise Stale(gettext("This person has answered."))
    token = links.make("swap", subject=swap.pk, counter=swap.link_counter, expires_at=clinic.starts_at)
    held = swap.assignment
    context |= {"from": held.volunteer.name, "duty_ask": held.shift.duty_ask}
    return Letter(context | {"link": links.address("swap-answer", token)})


def swap_done(note: Note, now: datetime) -> Letter:
    swap, clinic, context = _swap(note, now)
    row, _ = assignment_of(note)
    if not row.live:
        raise Stale(gettext("This person is no longer on this shift."))
    if swap.state == Swap.State.DECLINED:
        why = gettext("%(name)s can’t take the shift.") % {"name": swap.to}
    else:
        why = gettext("The swap didn’t work out: %(why)s.") % {"why": swap.words.rstrip(".")}
    return Letter(context | {"why": why, "link": shift_link(row, clinic)})


LETTERS = (
    LetterKind(BACKUP, gettext_lazy("backup"), "shifts/mail/backup", backup),
    LetterKind(BACKUP_ENDED, gettext_lazy("no longer a backup"), "shifts/mail/backup-ended", backup_ended),
    LetterKind(BACKUP_CALL, gettext_lazy("backup asked"), "shifts/mail/backup-call", backup_call),
    LetterKind(LATE_DROP, gettext_lazy("late dropout"), "shifts/mail/late-drop", late_drop),
    LetterKind(SWAP_ASK, gettext_lazy("swap request"), "shifts/mail/swap-ask", swap_ask),
    LetterKind(SWAP_DONE, gettext_lazy("swap result"), "shifts/mail/swap-done", swap_done),
)
