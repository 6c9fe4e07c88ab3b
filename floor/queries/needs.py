"""Children whom nobody signed out, phones that still differ, and days that nobody closed."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q
from django.urls import reverse

from clinics.models import Clinic, Status
from clinics.needs import Desk, Need
from core.formats import long_day
from floor.models import FloorDay, SignIn
from floor.queries.floor_hours import LOG_KEPT, wipe_at

__all__ = ["all_floor_needs", "floor_needs"]

# The guardians come within the hour; further back than this nobody remembers.
LATE = timedelta(hours=1)
LOOK_BACK = timedelta(days=60)


def all_floor_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    return floor_needs(desk.now)


def floor_needs(now: datetime) -> Iterator[Need]:
    """Children whom nobody signed out, phones that differ, and days that nobody closed. Two queries."""
    recent = Clinic.objects.filter(ends_at__lte=now - LATE, ends_at__gt=now - LOOK_BACK)
    left: dict[int, tuple[Clinic, list[str]]] = {}
    rows = SignIn.objects.filter(clinic__in=recent, child__isnull=False, out_at__isnull=True)
    rows = rows.select_related("clinic__center", "child").defer("child__allergies", "child__care_notes")
    for row in rows.order_by("child__name"):
        left.setdefault(row.clinic_id, (row.clinic, []))[1].append(str(row.child))
    for clinic, names in left.values():
        many = len(names) > 1
        whom = "them" if many else "the child"
        yield Need(
            day=clinic.day,
            rank=0,
            headline=f"{len(names)} {'children were' if many else 'child was'} not signed out at {clinic.center.name}",
            detail=f"{', '.join(names)}, {long_day(clinic.day)}. Ask the lead who took {whom} home.",
            action_label="Write who took them",
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
        headline, whom, label = (
            (f"Two phones differ about the day at {where}", "Ask the lead which is right.", "Settle it")
            if differ
            else (f"The day at {where} was never closed", "Every child is signed out.", "Close it")
        )
        yield Need(
            day=day.clinic.day,
            rank=5,
            headline=headline,
            detail=f"{long_day(day.clinic.day)}. {whom}",
            action_label=label,
            action_href=href,
        )
