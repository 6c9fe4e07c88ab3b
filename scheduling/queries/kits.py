"""Kits: where each is, and where each is next needed."""

from dataclasses import dataclass
from datetime import datetime

from clinics.models import Clinic, Status
from clinics.rules.distance import great_circle_km
from scheduling.models import Kit, KitBooking

__all__ = ["Astray", "KitLine", "kit_lines", "kits_in_wrong_place", "where_words"]


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

    @property
    def where(self) -> str:
        return where_words(self.kit)

    @property
    def astray(self) -> bool:
        return self.next_clinic is not None and self.kit.now_at_id != self.next_clinic.center_id


def where_words(kit: Kit) -> str:
    """at Quarry Lane Library; with Imara Venn; somewhere unrecorded."""
    if kit.now_at is not None:
        return f"at {kit.now_at}"
    return f"with {kit.with_whom}" if kit.with_whom else "somewhere unrecorded"


def kit_lines(now: datetime) -> list[KitLine]:
    """Every kit with the next clinic it is packed for. Two queries."""
    following: dict[int, Clinic] = {}
    rows = KitBooking.objects.exclude(status=Status.CANCELLED).filter(clinic__ends_at__gt=now)
    for row in rows.select_related("clinic__center").order_by("period"):
        following.setdefault(row.kit_id, row.clinic)
    lines = []
    for kit in Kit.objects.select_related("now_at"):
        clinic = following.get(kit.pk)
        lines.append(KitLine(kit, clinic, _km(kit, clinic) if clinic else None))
    return lines


def kits_in_wrong_place(now: datetime, until: datetime) -> list[Astray]:
    """Kits whose next clinic starts before ``until`` at a center where the kit is not."""
    return [
        Astray(line.kit, line.next_clinic, line.km)
        for line in kit_lines(now)
        if line.next_clinic is not None and line.astray and line.next_clinic.starts_at < until
    ]


def _km(kit: Kit, clinic: Clinic) -> float | None:
    here = kit.now_at.point if kit.now_at else None
    there = clinic.center.point
    return great_circle_km(*here, *there) if here and there else None
