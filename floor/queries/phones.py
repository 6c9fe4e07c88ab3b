"""Which phones have a clinic's floor page open."""

from dataclasses import dataclass
from datetime import datetime

from clinics.models import Clinic
from floor.models import FloorPhone
from floor.queries.floor_hours import wipe_at
from floor.words import name_of_phone

__all__ = ["PhoneLine", "open_by_link", "phone_lines"]


@dataclass(frozen=True)
class PhoneLine:
    """A phone as the office sees it: open, or released by somebody there."""

    phone: FloorPhone
    name: str

    @property
    def is_open(self) -> bool:
        return self.phone.ended_at is None


def open_by_link(link: str) -> FloorPhone | None:
    """The phone on which this emailed link is open."""
    if not link:
        return None
    rows = FloorPhone.objects.filter(link=link, ended_at__isnull=True)
    return rows.select_related("clinic__center").first()


def phone_lines(clinic: Clinic, now: datetime) -> list[PhoneLine]:
    """The phones that are open and those that the office released, as they were opened. One query, none when over."""
    if now >= wipe_at(clinic):
        return []
    rows = FloorPhone.objects.filter(clinic=clinic, volunteer__isnull=False).order_by("opened_at", "pk")
    return [PhoneLine(row, name_of_phone(row)) for row in rows if row.ended_at is None or row.released_by]
