"""One child on one page."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Model

from clinics.models import Clinic
from core import clock
from core.acting import who_did
from core.merge import history_of
from families.hooks import kept_from_play
from families.models import CareReading, Child, Guardianship, PickupPerson, Spot, SpotState, Waiver
from families.queries.waivers import open_waivers, photos_allowed
from families.rules.waivers import Signature, waiver_on
from families.words.history import FieldChange, added_words, changed_words, removed_words
from families.words.spots import past_words
from families.words.waivers import until_words, waiver_flag
from people.rules.ages import age_on

__all__ = ["ChangeLine", "ChildPage", "child_page", "clinics_to_give"]

# What each history tells, by the code under which words/history.py speaks of it.
HISTORIES: tuple[tuple[type[Model], str, str, tuple[str, ...]], ...] = (
    (Child, "pgh_obj_id", "child", ("name", "birth_date", "experience", "school_year")),
    (Guardianship, "child_id", "guardianship", ("emergency_name", "emergency_phone")),
    (PickupPerson, "child_id", "pickup_person", ("name", "relation", "must_not", "seen", "ended_at")),
    (Waiver, "child_id", "waiver", ("until", "withdrawn_at")),
    (Spot, "child_id", "spot", ("state", "because")),
)


@dataclass(frozen=True)
class ChangeLine:
    at: datetime
    what: str
    who: str = ""


@dataclass(frozen=True)
class SignatureLine:
    waiver: Waiver
    flag_kind: str
    flag_word: str


@dataclass(frozen=True)
class PastSpot:
    spot: Spot
    words: str


@dataclass(frozen=True)
class ChildPage:
    child: Child
    age: int
    guardianships: list[Guardianship]
    coming: list[Spot]
    past: list[PastSpot]
    waiver_today: tuple[str, str, str]
    waiver_next: tuple[str, str, str] | None
    next_clinic: Clinic | None
    signatures: list[SignatureLine]
    photos: bool
    may_pick_up: list[PickupPerson]
    must_not: list[PickupPerson]
    history: list[ChangeLine]
    readings: list[CareReading]
    not_to_play: date | None = None


def child_page(child: Child, today: date, now: datetime) -> ChildPage:
    """Read everything that the office's page of one child shows."""
    spots = list(
        Spot.objects.filter(child=child).select_related("clinic__center").order_by("-clinic__starts_at", "-pk")[:100]
    )
    coming = [p for p in spots if p.clinic.ends_at > now and p.state != SpotState.GIVEN_UP and p.clinic.live][::-1]
    book = open_waivers([child.pk])
    next_clinic = coming[0].clinic if coming else None
    pickup_people = list(PickupPerson.objects.in_force().filter(child=child))
    waivers = Waiver.objects.filter(child=child).select_related("text", "guardian", "paper_seen_by")

    def waiver_state(day: date) -> tuple[str, str, str]:
        found = book.on(child.pk, day)
        return (*waiver_flag(found), until_words(found))

    def line(waiver: Waiver) -> SignatureLine:
        gone = waiver.withdrawn_at.astimezone(clock.home_zone()).date() if waiver.withdrawn_at else None
        one = Signature(waiver.text.version, waiver.signed_on, waiver.until, gone)
        return SignatureLine(waiver, *waiver_flag(waiver_on([one], today, book.least)))

    return ChildPage(
        child=child,
        age=age_on(child.birth_date, max(today, child.birth_date)),
        guardianships=list(Guardianship.objects.filter(child=child).select_related("guardian").order_by("pk")),
        coming=coming,
        past=[PastSpot(spot, past_words(spot)) for spot in spots if spot not in coming],
        waiver_today=waiver_state(today),
        waiver_next=waiver_state(next_clinic.day) if next_clinic else None,
        next_clinic=next_clinic,
        signatures=[line(waiver) for waiver in waivers],
        photos=child.pk in photos_allowed([child.pk]),
        may_pick_up=[one for one in pickup_people if not one.must_not],
        must_not=[one for one in pickup_people if one.must_not],
        history=_history(child),
        readings=list(CareReading.objects.filter(child=child)[:50]),
        not_to_play=kept_from_play([child]).get(child.pk),
    )


def clinics_to_give(child: Child, now: datetime) -> list[Clinic]:
    """Coming clinics where the child has no spot, soonest first."""
    taken = Spot.objects.live().filter(child=child).values("clinic_id")
    rows = Clinic.objects.live().ahead(now).exclude(pk__in=taken).select_related("center").prefetch_related("bands")
    return list(rows.order_by("starts_at", "pk")[:40])


def _history(child: Child) -> list[ChangeLine]:
    """Latest first; one query for each kind of row, and one for the names of the accounts."""
    found: list[tuple[Any, str, tuple[str, ...]]] = []
    for model, key, subject, fields in HISTORIES:
        events = history_of(model)._default_manager.filter(**{key: child.pk}).select_related("pgh_context")
        found += [(event, subject, fields) for event in events.order_by("-pgh_created_at", "-pgh_id")[:60]]
    author = who_did(event for event, _, _ in found)
    before: dict[tuple[str, int], Any] = {}
    lines = []
    for event, subject, fields in sorted(found, key=lambda one: (one[0].pgh_created_at, one[0].pgh_id)):
        earlier = before.get((subject, event.pgh_obj_id))
        before[subject, event.pgh_obj_id] = event
        lines.append(ChangeLine(event.pgh_created_at, _changed(subject, earlier, event, fields), author(event)))
    return lines[::-1]


def _changed(subject: str, earlier: Any, event: Any, fields: tuple[str, ...]) -> str:
    if event.pgh_label == "delete":
        return removed_words(subject)
    now = {name: getattr(event, name) for name in fields}
    if earlier is None:
        return added_words(subject, [(name, value) for name, value in now.items() if value])
    was = {name: getattr(earlier, name) for name in fields}
    return changed_words(
        subject, [FieldChange(name, was[name], value) for name, value in now.items() if was[name] != value]
    )
