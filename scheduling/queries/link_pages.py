"""What the pages by link read."""

from datetime import datetime

from django.db.models import QuerySet

from clinics.models import Clinic, Status
from scheduling.models import Asking, Assignment, Booking

__all__ = ["LEAD", "asked_days", "lead_name", "lead_of", "shift_questions"]

LEAD = "lead"


def shift_questions() -> QuerySet[Assignment]:
    """Assignments with all that the page of one needs."""
    rows = Assignment.objects.select_related("volunteer", "shift__clinic__center")
    return rows.prefetch_related("shift__clinic__bands")


def lead_of(clinic: Clinic) -> Assignment | None:
    """Who accepted to lead; the first where there are two."""
    rows = Assignment.objects.accepted().filter(shift__clinic=clinic, shift__duty=LEAD)
    return rows.select_related("volunteer", "shift__clinic").order_by("shift__position").first()


def lead_name(clinic: Clinic) -> str:
    """The lead who has accepted, or nothing yet."""
    row = lead_of(clinic)
    return row.volunteer.name if row else ""


def asked_days(asking: Asking, now: datetime) -> QuerySet[Booking]:
    """The bookings of one question to a center whose clinics are still to come, soonest first."""
    rows = Booking.objects.filter(asking=asking, clinic__starts_at__gt=now).exclude(clinic__status=Status.CANCELLED)
    rows = rows.select_related("clinic__center", "space").prefetch_related("clinic__bands")
    return rows.order_by("clinic__starts_at", "pk")
