"""Children whom nobody signed out, phones that still differ, and days that nobody closed."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils.translation import gettext, ngettext

from clinics.models import Clinic, Status
from clinics.needs import Desk, Need
from core.formats import long_day
from floor.models import FloorDay, SignIn
from floor.queries.floor_hours import LOG_KEPT, wipe_at
from floor.queries.released import released_needs

__all__ = ["all_floor_needs", "floor_needs"]

# The guardians come within the hour; further back than this nobody remembers.
LATE = timedelta(hours=1)
LOOK_BACK = timedelta(days=60)


def all_floor_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    yield from released_needs(desk.now)
    yield from floor_needs(desk.now)


def floor_needs(now: datetime) -> Iterator[Need]:
    """Children whom nobody signed out, phones that differ, and days that nobody closed. Two queries."""
    recent = Clinic.objects.filter(ends_at__lte=now - LATE, ends_at__gt=now - LOOK_BACK)
    left: dict[int, tuple[Clinic, list[str]]] = {}
    rows = SignIn.objects.filter(clinic__in=recent, child__isnull=False, out_at__isnull=True)
    rows = rows.select_related("clinic__center", "child").defer("child__allergies", "child__care_notes")
    for row in rows.order_by("child__name"):
        left.setdefault(row.clinic_id, (row.clinic, []))[1].append(str(row.child))
    for clinic, names in left.values():
        yield Need(
            day=clinic.day,
            rank=0,
            headline=ngettext(
                "%(n)s child was not signed out at %(center)s",
                "%(n)s children were not signed out at %(center)s",
                len(names),
            )
            % {"n": len(names), "center": clinic.center.name},
            detail=gettext("%(names)s, %(day)s. Ask the lead who picked them up.")
            % {"names": ", ".join(names), "day": long_day(clinic.day)},
            action_label=gettext("Record pickup"),
            action_href=reverse("clinic-day", args=[clinic.pk]),
        )
    open_days = FloorDay.objects.filter(clinic__in=recent).filter(Q(closed_at=None) | ~Q(conflicts=[]))
    # Called off before anybody came, there is no day to close; called off with children in the hall, there is.
    came = SignIn.objects.filter(clinic=OuterRef("clinic"))
    open_days = open_days.filter(~Q(clinic__status=Status.CANCELLED) | Exists(came))
    for day in open_days.select_related("clinic__center"):
        if day.clinic_id in left or now < wipe_at(day.clinic):
            continue
        differ = bool(day.conflicts) and now <= day.clinic.ends_at + LOG_KEPT
        if not differ and day.closed_at is not None:
            continue
        where, href = day.clinic.center.name, reverse("clinic-day", args=[day.clinic_id])
        headline, detail, label = (
            (
                gettext("Two phones have different records for %(center)s"),
                gettext("%(day)s. Ask the lead which is right."),
                gettext("Fix the difference"),
            )
            if differ
            else (
                gettext("The clinic day at %(center)s hasn’t been closed"),
                gettext("%(day)s. Every child is signed out."),
                gettext("Close the day"),
            )
        )
        yield Need(
            day=day.clinic.day,
            rank=5,
            headline=headline % {"center": where},
            detail=detail % {"day": long_day(day.clinic.day)},
            action_label=label,
            action_href=href,
        )
