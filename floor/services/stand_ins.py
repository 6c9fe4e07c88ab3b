"""Who stands in for a clinic's lead: named and ended by the office."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Reason, Refusal
from floor.letters.stand_ins import STAND_IN
from floor.models import FloorPhone, FloorStandIn
from floor.queries.floor_hours import wipe_at
from floor.queries.leading import runs_floor
from outbox.models import Note
from outbox.services.writing import write_note
from people.models import User, Volunteer
from shifts.models import Assignment
from shifts.queries.link_pages import LEAD
from shifts.rules.eligibility_reasons import AlreadyThere
from shifts.services.cover_checks import person_reasons

__all__ = ["end_stand_in", "mail_stand_in", "name_stand_in", "settle_stand_ins"]


@transaction.atomic
def name_stand_in(*, clinic: Clinic, volunteer: Volunteer, by: User, now: datetime) -> FloorStandIn:
    """Let a volunteer stand in for the lead: 1 lock the clinic, 2 check, 3 write the row, 4 write the note.

    They must be able to lead on that day. That they have another duty at the same clinic is no reason against it.

    Raises Refusal, with every reason: "cancelled", "over", "leads", "stands in", and those of ``person_reasons``.
    """
    locked = Clinic.objects.locked(clinic.pk)
    reasons = _clinic_reasons(locked, now)
    rows = FloorStandIn.objects.filter(clinic=locked, volunteer=volunteer, ended_at__isnull=True)
    leads = Assignment.objects.accepted().filter(shift__clinic=locked, shift__duty__code=LEAD, volunteer=volunteer)
    if rows.exists():
        words = gettext("%(name)s already stands in for the lead.") % {"name": volunteer}
        reasons.append(Reason("stands in", words, "volunteer"))
    if leads.exists():
        words = gettext("%(name)s leads this clinic, so they can open its floor page already.") % {"name": volunteer}
        reasons.append(Reason("leads", words, "volunteer"))
    reasons += [
        Reason(one.code, one.text, "volunteer")
        for one in person_reasons(LEAD, volunteer, locked)
        if one.code != AlreadyThere.code
    ]
    if reasons:
        raise Refusal(*reasons)
    row = FloorStandIn.objects.create(clinic=locked, volunteer=volunteer, named_by=by, named_at=now)
    _write(row, now)
    return row


@transaction.atomic
def mail_stand_in(*, row: FloorStandIn, now: datetime) -> Note:
    """Write the letter with the link once more; twice within a minute is one note. Raises Refusal, as "ended"."""
    locked = Clinic.objects.locked(row.clinic_id)
    found = FloorStandIn.objects.select_related("clinic__center", "volunteer").get(pk=row.pk)
    if found.ended_at is not None:
        raise Refusal.because("ended", gettext("%(name)s no longer stands in.") % {"name": found.volunteer})
    if reasons := _clinic_reasons(locked, now):
        raise Refusal(*reasons)
    return _write(found, now)


@transaction.atomic
def end_stand_in(*, row: FloorStandIn, now: datetime) -> bool:
    """End it, with the link and the phones that it opened; returns whether it was so until now."""
    clinic = Clinic.objects.locked(row.clinic_id)
    found = FloorStandIn.objects.select_for_update(no_key=True, of=("self",)).get(pk=row.pk)
    if found.ended_at is not None:
        return False
    found.ended_at = now
    found.link_counter += 1
    found.save(update_fields=["ended_at", "link_counter"])
    if not runs_floor(clinic, found.volunteer):
        FloorPhone.objects.filter(clinic=clinic, volunteer=found.volunteer_id, ended_at=None).update(ended_at=now)
    return True


def settle_stand_ins(gone: Volunteer, kept: Volunteer, now: datetime) -> None:
    """Two records are about to become one: where both stand in, ``gone`` does no longer."""
    both = FloorStandIn.objects.filter(volunteer=kept, ended_at__isnull=True).values_list("clinic", flat=True)
    rows = FloorStandIn.objects.filter(volunteer=gone, ended_at__isnull=True, clinic__in=list(both))
    rows.update(ended_at=now)


def _clinic_reasons(clinic: Clinic, now: datetime) -> list[Reason]:
    if not clinic.live:
        return [Reason("cancelled", gettext("This clinic is cancelled, so there’s no floor page."))]
    if now >= wipe_at(clinic):
        return [Reason("over", gettext("This clinic is over, so its floor page is closed."))]
    return []


def _write(row: FloorStandIn, now: datetime) -> Note:
    clinic = row.clinic
    key = f"{STAND_IN}:{row.pk}:r{clinic.revision}:{now:%Y%m%d%H%M}"
    facts = {"name": row.volunteer, "clinic": clinic_words(clinic)}
    written = write_note(
        key=key,
        kind=STAND_IN,
        to_name=row.volunteer.name,
        to_email=row.volunteer.email,
        summary=(gettext("Floor page link to %(name)s, the stand-in: %(clinic)s") % facts)[:200],
        due_at=now,
        about=[clinic, row, row.volunteer],
        revision=clinic.revision,
    )
    return written or Note.objects.get(key=key)
