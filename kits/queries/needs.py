"""Kits in the wrong place, and everything else that kits need of the office."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext

from clinics.needs import FORTNIGHT, Desk, Need
from core.formats import amount, long_day
from kits.queries.kit_care_needs import kit_check_needs, kit_short_needs
from kits.queries.kits import Astray, kits_in_wrong_place

__all__ = ["all_kit_needs", "kit_needs"]


def all_kit_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    yield from kit_needs(desk.now)
    yield from kit_short_needs(desk.now)
    yield from kit_check_needs(desk.now, desk.today)


def kit_needs(now: datetime) -> Iterator[Need]:
    """Kits that are not where their next clinic is."""
    for astray in kits_in_wrong_place(now, now + FORTNIGHT):
        facts = {
            "kit": astray.kit,
            "where": astray.where,
            "center": astray.clinic.center.name,
            "day": long_day(astray.clinic.day),
        }
        detail = gettext("It’s needed at %(center)s on %(day)s.")
        if astray.km is not None:
            detail = gettext("It’s needed at %(center)s on %(day)s, %(km)s km away in a straight line.")
            facts["km"] = amount(round(astray.km))
        yield Need(
            day=astray.clinic.day,
            rank=4,
            headline=_headline(astray) % facts,
            detail=detail % facts,
            action_label=gettext("Update location"),
            action_href=reverse("kits"),
        )


def _headline(astray: Astray) -> str:
    if astray.kit.now_at is None and not astray.kit.with_whom:
        return gettext("%(kit)s: %(where)s")
    return gettext("%(kit)s is %(where)s")
