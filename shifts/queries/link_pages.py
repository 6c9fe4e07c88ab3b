"""What the pages by link about shifts read."""

from django.db.models import QuerySet

from clinics.models import Clinic
from shifts.models import Assignment

__all__ = ["LEAD", "lead_name", "lead_of", "shift_questions"]

LEAD = "lead"


def shift_questions() -> QuerySet[Assignment]:
    """Assignments with everything loaded that the page of one shows."""
    rows = Assignment.objects.select_related("volunteer", "shift__clinic__center")
    return rows.prefetch_related("shift__clinic__bands")


def lead_of(clinic: Clinic) -> Assignment | None:
    """The assignment of the person who accepted to lead, the first of two; None when nobody did."""
    rows = Assignment.objects.accepted().filter(shift__clinic=clinic, shift__duty__code=LEAD)
    return rows.select_related("volunteer", "shift__clinic").order_by("shift__position").first()


def lead_name(clinic: Clinic) -> str:
    """The name of the lead who has accepted, or "" while nobody has."""
    row = lead_of(clinic)
    return row.volunteer.name if row else ""
