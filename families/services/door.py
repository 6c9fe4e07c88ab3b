"""Opening a clinic's sign-in sheet, which is written down."""

from datetime import datetime, timedelta

from django.db import transaction

from clinics.models import Clinic
from families.models import DoorReading, Retention
from families.rules.retention import redact_after
from people.models import User

__all__ = ["DOOR", "DOOR_WITH_CARE", "forget_door_readings", "open_door"]

DOOR = "sign-in sheet"
DOOR_WITH_CARE = "sign-in sheet with allergies and care notes"


@transaction.atomic
def open_door(*, clinic: Clinic, by: User, what: str, now: datetime) -> DoorReading:
    """Record that ``by`` opens the sign-in sheet of a clinic."""
    return DoorReading.objects.create(clinic=clinic, by=by, by_name=by.name[:120], at=now, what=what)


@transaction.atomic
def forget_door_readings(*, now: datetime) -> int:
    """Delete who opened the sheets of clinics whose children's notes would be gone by now; returns how many rows went.

    Who read a child's notes goes with the notes; the sheet is of many children, so it goes by the clinic's day.
    """
    months = Retention.now().child_months
    # Months have at least 28 days: no other clinic can be due.
    rows = Clinic.objects.filter(door_readings__isnull=False, ends_at__lt=now - timedelta(days=28 * months - 1))
    due = [
        clinic.pk
        for clinic in rows.select_related("center").distinct()
        if now.astimezone(clinic.center.tz).date() > redact_after(clinic.day, months)
    ]
    return DoorReading.objects.filter(clinic__in=due).delete()[0]
