"""Kits in the wrong place, and everything else that kits need of the office."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse

from clinics.needs import FORTNIGHT, Desk, Need
from core.formats import long_day
from kits.queries.kit_care_needs import kit_check_needs, kit_short_needs
from kits.queries.kits import kits_in_wrong_place

__all__ = ["all_kit_needs", "kit_needs"]


def all_kit_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    yield from kit_needs(desk.now)
    yield from kit_short_needs(desk.now)
    yield from kit_check_needs(desk.now, desk.today)


def kit_needs(now: datetime) -> Iterator[Need]:
    """Kits that are not where their next clinic is."""
    for astray in kits_in_wrong_place(now, now + FORTNIGHT):
        km = "" if astray.km is None else f" {astray.km:.0f} km as the crow flies."
        yield Need(
            day=astray.clinic.day,
            rank=4,
            headline=f"{astray.kit} is {astray.where}",
            detail=f"It is due at {astray.clinic.center.name} on {long_day(astray.clinic.day)}.{km}",
            action_label="Record the trip",
            action_href=reverse("kits"),
        )
