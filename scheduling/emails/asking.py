"""Letters about standing by, late drop-outs and shifts handed on."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse

from clinics.models import Clinic
from config import links
from people.models import Volunteer, duties
from scheduling.emails.letter import (
    Letter,
    Untrue,
    assignment_of,
    clinic_context,
    live_clinic,
    standing_clinic,
    subject_number,
)
from scheduling.emails.shifts import shift_link
from scheduling.models import Note, Standby, StandbyCall, Swap

__all__ = ["late_drop", "standby", "standby_call", "standby_ended", "swap_ask", "swap_done"]


def _volunteer(note: Note) -> Volunteer:
    if note.volunteer is None or note.volunteer.left_on is not None:
        raise Untrue("The person has left.")
    return note.volunteer


def _not_begun(clinic: Clinic, now: datetime) -> None:
    if clinic.starts_at <= now:
        raise Untrue("The clinic has begun.")


def standby(note: Note, now: datetime) -> Letter:
    clinic, volunteer = live_clinic(note, now), _volunteer(note)
    row = Standby.objects.filter(pk=subject_number(note)).first()
    if row is None:
        raise Untrue("The person no longer stands by.")
    token = links.make("standby", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    link = links.address("standby-link", token)
    context = {"volunteer": volunteer, "duty": duties().name(row.duty), "link": link}
    return Letter(note.kind, clinic_context(clinic) | context)


def standby_call(note: Note, now: datetime) -> Letter:
    clinic, volunteer = live_clinic(note, now), _volunteer(note)
    _not_begun(clinic, now)
    row = StandbyCall.objects.select_related("shift").filter(pk=subject_number(note)).first()
    if row is None or row.answer:
        raise Untrue("The call is answered.")
    if row.shift.assignments.live().exists():
        raise Untrue("Somebody has taken the shift already.")
    token = links.make("call", subject=row.pk, counter=row.link_counter, expires_at=clinic.starts_at)
    link = links.address("standby-call", token)
    context = {"volunteer": volunteer, "duty_ask": row.shift.duty_ask, "link": link}
    return Letter(note.kind, clinic_context(clinic) | context)


def standby_ended(note: Note, now: datetime) -> Letter:
    """The clinic went to another time or was cancelled, so nobody need keep the old hour free."""
    clinic, volunteer = standing_clinic(note, now), _volunteer(note)
    if Standby.objects.filter(clinic=clinic, volunteer=volunteer).exists():
        raise Untrue("The person stands by for it again.")
    return Letter(note.kind, clinic_context(clinic) | {"volunteer": volunteer})


def late_drop(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    if note.account is None or note.volunteer is None:
        raise Untrue("The account or the person is no longer in the books.")
    calls = StandbyCall.objects.filter(shift__clinic=clinic, asked_at__gte=note.due_at).select_related("volunteer")
    context = {
        "account": note.account,
        "volunteer": note.volunteer,
        "called": [call.volunteer.name for call in calls],
        "link": settings.SITE_URL + reverse("clinic", args=[clinic.pk]),
    }
    return Letter(note.kind, clinic_context(clinic) | context)


def _swap(note: Note, now: datetime) -> tuple[Swap, Clinic, dict[str, Any]]:
    clinic = live_clinic(note, now)
    _not_begun(clinic, now)
    swap = Swap.objects.select_related("assignment__volunteer", "assignment__shift", "to").get(pk=_swap_number(note))
    return swap, clinic, clinic_context(clinic) | {"volunteer": _volunteer(note)}


def _swap_number(note: Note) -> int:
    return int(note.key.split("swap ", 1)[1].split(":")[0])


def swap_ask(note: Note, now: datetime) -> Letter:
    swap, clinic, context = _swap(note, now)
    if swap.state != Swap.State.ASKED:
        raise Untrue("The question is answered.")
    token = links.make("swap", subject=swap.pk, counter=swap.link_counter, expires_at=clinic.starts_at)
    held = swap.assignment
    context |= {"from": held.volunteer.name, "duty_ask": held.shift.duty_ask}
    return Letter(note.kind, context | {"link": links.address("swap-answer", token)})


def swap_done(note: Note, now: datetime) -> Letter:
    swap, clinic, context = _swap(note, now)
    row, _ = assignment_of(note)
    if not row.live:
        raise Untrue("The person is no longer on this shift.")
    why = (
        f"{swap.to} can't take it over"
        if swap.state == Swap.State.DECLINED
        else f"The swap was not possible: {swap.words}"
    )
    return Letter(note.kind, context | {"why": why, "link": shift_link(row, clinic)})
