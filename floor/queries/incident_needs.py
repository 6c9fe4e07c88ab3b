"""Incidents that the office has not settled yet: they stand on Ahead until someone does, however long that takes."""

from collections.abc import Collection, Iterator
from datetime import date, datetime

from django.urls import reverse
from django.utils.translation import gettext

from clinics.models import Status
from clinics.needs import Desk, Need
from core.formats import long_day
from families.models import Spot
from floor.models import Incident
from floor.models.books import IncidentQuerySet
from floor.queries.follow_ups import FollowUpLine
from floor.rules.incidents import HEAD, WONT_RETURN
from floor.words import happened_words, left_words

__all__ = ["all_incident_needs", "incident_needs"]


def all_incident_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    return incident_needs(desk.now)


def incident_needs(now: datetime) -> Iterator[Need]:
    """Incidents with something left to do, and children who were not to come back and do. Three queries.

    They say that something of a sort happened, to whom and where; the words of the report are not read.
    """
    lines = [FollowUpLine.of(row) for row in _rows(Incident.objects.unsettled())]
    gone = list(_rows(Incident.objects.keep_from_play().filter(follow_up__outcome=WONT_RETURN)))
    spots = _next_spots({row.child_id for row in (*gone, *(line.incident for line in lines)) if row.child_id}, now)
    known = {line.incident.pk for line in lines}
    lines += [FollowUpLine.of(row) for row in gone if row.child_id in spots and row.pk not in known]
    for line in lines:
        row = line.incident
        comes = spots.get(row.child_id or 0) if row.sort == HEAD else None
        left = [left_words(code, row) for code in line.left]
        if comes is not None and "clearance" not in line.left:
            left.append(left_words("clearance", row))
        detail = " ".join([gettext("%(day)s.") % {"day": long_day(row.day)}, *left])
        if comes is not None:
            detail += " " + gettext("They have a spot on %(day)s.") % {"day": long_day(comes)}
        yield Need(
            day=row.day,
            rank=0,
            headline=happened_words(row),
            detail=detail,
            action_label=gettext("Record follow-up"),
            action_href=reverse("clinic-incident", args=[row.clinic_id, row.pk]),
            right="keep_children",
        )


def _rows(rows: IncidentQuerySet) -> IncidentQuerySet:
    return rows.without_words().select_related("clinic__center").order_by("at", "pk")


def _next_spots(children: Collection[int], now: datetime) -> dict[int, date]:
    """By the number of a child, the day of the next clinic at which they have a spot."""
    rows = Spot.objects.live().filter(child__in=children, clinic__ends_at__gt=now)
    rows = rows.exclude(clinic__status=Status.CANCELLED).select_related("clinic__center")
    found: dict[int, date] = {}
    for spot in rows.order_by("clinic__starts_at", "pk"):
        found.setdefault(spot.child_id, spot.clinic.day)
    return found
