"""Kits: where each is, and where each is next needed."""

from dataclasses import dataclass, field
from datetime import date, datetime

from clinics.models import Center, Clinic, Status
from clinics.rules.distance import great_circle_km
from kits.hooks import needs_to_pack
from kits.models import Kit, KitBooking
from kits.queries.condition import (
    CheckDue,
    checks_due,
    kit_troubles,
    kits_with_state,
    next_clinics,
    pack_lines,
)
from kits.rules.kit_state import Trouble
from kits.rules.pack_list import PackLine
from kits.words.kits import where_words

__all__ = [
    "Astray",
    "KitLine",
    "kit_lines",
    "kit_lines_with_state",
    "kits_in_wrong_place",
    "likely_places",
]

# How many places are offered for one tap when a kit is handed over.
MOST_LIKELY = 2


@dataclass(frozen=True)
class Astray:
    """A kit that is not where its next clinic needs it."""

    kit: Kit
    clinic: Clinic
    km: float | None

    @property
    def where(self) -> str:
        return where_words(self.kit)


@dataclass(frozen=True)
class KitLine:
    kit: Kit
    next_clinic: Clinic | None
    km: float | None
    checks: list[CheckDue] = field(default_factory=list)  # those due or overdue
    short: list[PackLine] = field(default_factory=list)  # for its next clinic
    troubles: list[Trouble] = field(default_factory=list)

    @property
    def where(self) -> str:
        return where_words(self.kit)

    @property
    def astray(self) -> bool:
        return self.next_clinic is not None and self.kit.now_at_id != self.next_clinic.center_id


def kit_lines(now: datetime) -> list[KitLine]:
    """List every kit with the next clinic it is packed for. Two queries."""
    following = next_clinics(now)
    lines = []
    for kit in Kit.objects.select_related("now_at"):
        clinic = following.get(kit.pk)
        lines.append(KitLine(kit, clinic, _km(kit, clinic) if clinic else None))
    return lines


def kit_lines_with_state(now: datetime, today: date) -> list[KitLine]:
    """List every kit with what is due, short or wrong, in a constant number of queries."""
    following = next_clinics(now, with_bands=True)
    kits = list(kits_with_state())
    due = checks_due(kits, today, {pk: clinic.day for pk, clinic in following.items()})
    sheets = needs_to_pack(list(following.values()))
    lines = []
    for kit in kits:
        clinic = following.get(kit.pk)
        lines.append(
            KitLine(
                kit,
                clinic,
                _km(kit, clinic) if clinic else None,
                checks=[check for check in due.get(kit.pk, []) if check.state != "fine"],
                short=[line for line in pack_lines(kit, clinic, sheets) if line.short] if clinic else [],
                troubles=kit_troubles(kit, clinic.day if clinic else today, bool(clinic and clinic.theme)),
            )
        )
    return lines


def likely_places(kit: Kit, now: datetime) -> list[Center]:
    """Guess where a kit is or goes now: the centers of its clinics nearest in time, but not where it is recorded."""
    rows = KitBooking.objects.exclude(status=Status.CANCELLED).filter(kit=kit).select_related("clinic__center")
    after = list(rows.filter(clinic__ends_at__gt=now).order_by("period")[:2])
    before = list(rows.filter(clinic__ends_at__lte=now).order_by("-period")[:1])
    places: dict[int, Center] = {}
    for row in sorted([*after, *before], key=lambda row: abs(row.clinic.starts_at - now)):
        center = row.clinic.center
        if center.active and center.pk != kit.now_at_id:
            places.setdefault(center.pk, center)
    return list(places.values())[:MOST_LIKELY]


def kits_in_wrong_place(now: datetime, until: datetime) -> list[Astray]:
    """Kits that are not at the center of their next clinic, which starts before ``until``."""
    return [
        Astray(line.kit, line.next_clinic, line.km)
        for line in kit_lines(now)
        if line.next_clinic is not None and line.astray and line.next_clinic.starts_at < until
    ]


def _km(kit: Kit, clinic: Clinic) -> float | None:
    here = kit.now_at.point if kit.now_at else None
    there = clinic.center.point
    return great_circle_km(*here, *there) if here and there else None
