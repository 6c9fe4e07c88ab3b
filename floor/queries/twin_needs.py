"""Children of whom two lines stand at a clinic's door, for the list of what needs somebody."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext

from clinics.needs import Desk, Need
from core.formats import long_day
from floor.models import FloorDay
from floor.queries.floor_hours import LOG_KEPT
from floor.queries.log import floor_state
from floor.queries.twins import twin_pairs

__all__ = ["all_twin_needs", "twin_needs"]


def all_twin_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    return twin_needs(desk.now)


def twin_needs(now: datetime) -> Iterator[Need]:
    """Lines that may be one child. One query where there are none; a clinic that has any is looked at anew."""
    days = FloorDay.objects.exclude(twins=[]).filter(clinic__ends_at__gt=now - LOG_KEPT)
    for day in days.select_related("clinic__center").order_by("clinic__starts_at", "clinic"):
        clinic = day.clinic
        for pair in twin_pairs(clinic, floor_state(clinic)):
            if pair.said == "apart":
                continue
            names = {"name": pair.one.name, "other": pair.other.name}
            yield Need(
                day=clinic.day,
                rank=2,
                headline=gettext("Perhaps one child: %(name)s and %(other)s") % names,
                detail=gettext("%(center)s, %(day)s. Compare the two and say if they’re one child.")
                % {"center": clinic.center.name, "day": long_day(clinic.day)},
                action_label=gettext("Compare them"),
                action_href=reverse("clinic-day", args=[clinic.pk]) + "#twins",
            )
