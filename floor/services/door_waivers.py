"""Waivers that were signed at the door: on the lead's phone, or on a sheet that the office has still to see."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from typing import Any

from django.utils.translation import gettext

from clinics.models import Clinic
from core.refusal import Refusal
from families.models import Child, Guardian, Waiver, WaiverText
from families.queries.waiver_texts import current_text
from families.services.households import sign_waiver
from floor.models import FloorAction, FloorPhone, PaperWaiver
from floor.rules.floor_log import Action, FloorState
from floor.words import whose_phone
from people.rules.names import same_name

__all__ = ["UNDONE", "sign_on_phone", "write_door_waivers"]

UNDONE = "undone on the floor page"


def _shown_text(facts: Mapping[str, Any]) -> WaiverText | None:
    """The text that the phone showed, or today's English one where an entry doesn't say which it was."""
    if not facts.get("version"):
        return current_text("en")
    shown = WaiverText.objects.published().filter(version=facts["version"], language=facts.get("language", "en"))
    return shown.first()


def write_door_waivers(
    clinic: Clinic, actions: Sequence[Action], state: FloorState, children: Mapping[str, Child], now: datetime
) -> None:
    """Write each signature of the log once and take back what was undone: 1 sheets of paper, 2 undone ones, 3 new ones.

    ``children``: by the name in the log, the child.
    """
    entries = [row.id for row in actions if row.kind == "waiver"]
    if not entries:
        return
    counts = {row.id: (children[who], row) for who, row in state.waivers.items() if who in children}
    _sheets(clinic, entries, {pk: one for pk, one in counts.items() if one[1].facts["how"] == "paper"})
    signed = {pk: one for pk, one in counts.items() if one[1].facts["how"] == "phone"}
    here = Waiver.objects.filter(door_entry__in=entries)
    known = set()
    for waiver in here:
        known.add(str(waiver.door_entry))
        stands = str(waiver.door_entry) in signed
        if stands and waiver.withdrawn_by == UNDONE:
            waiver.withdrawn_at, waiver.withdrawn_by = None, ""
            waiver.save(update_fields=["withdrawn_at", "withdrawn_by"])
        elif not stands and waiver.withdrawn_at is None:
            waiver.withdrawn_at, waiver.withdrawn_by = now, UNDONE
            waiver.save(update_fields=["withdrawn_at", "withdrawn_by"])
    fresh = [pk for pk in signed if pk not in known]
    phones = {str(row.pk): row.phone for row in FloorAction.objects.filter(pk__in=fresh).select_related("phone")}
    for pk in fresh:
        child, row = signed[pk]
        _sign(clinic, child, row, phones[pk])


def _sheets(clinic: Clinic, entries: Sequence[str], wanted: Mapping[str, tuple[Child, Action]]) -> None:
    here = PaperWaiver.objects.filter(clinic=clinic)
    # Only what entries of their own said is taken back with them: a walk-in's sheet stays with the child.
    here.filter(action__in=entries).exclude(action__in=list(wanted)).delete()
    known = {str(pk) for pk in here.values_list("action", flat=True)}
    PaperWaiver.objects.bulk_create(
        PaperWaiver(clinic=clinic, child=child, action=pk, at=row.at)
        for pk, (child, row) in wanted.items()
        if pk not in known
    )


def _sign(clinic: Clinic, child: Child, row: Action, phone: FloorPhone) -> None:
    guardians = Guardian.objects.filter(guardianships__child=child).order_by("pk")
    typed = str(row.facts["signed"])[:120]
    guardian = next((one for one in guardians if same_name(one.name, typed)), None)
    sign_on_phone(
        clinic=clinic, child=child, guardian=guardian, row=row, phone=phone, signed_at=row.at, door_entry=row.id
    )


def sign_on_phone(
    *,
    clinic: Clinic,
    child: Child,
    guardian: Guardian | None,
    row: Action,
    phone: FloorPhone,
    signed_at: datetime,
    door_entry: str | None = None,
) -> None:
    """Sign the text that the phone showed with the name that the entry has; nothing where there is neither.

    A text that can't be signed any more leaves the child without a waiver, as the door then shows; it must not keep
    everything else that the phone sent from being written.
    """
    text, typed = _shown_text(row.facts), str(row.facts["signed"])[:120]
    if text is None or not typed.strip():
        return
    with suppress(Refusal):
        sign_waiver(
            child=child,
            guardian=guardian,
            text=text,
            typed_name=typed,
            today=row.at.astimezone(clinic.center.tz).date(),
            now=signed_at,
            came_from=phone.came_from,
            door_entry=door_entry,
            signed_where=gettext("on %(phone)s, at the door") % {"phone": whose_phone(phone)},
        )
