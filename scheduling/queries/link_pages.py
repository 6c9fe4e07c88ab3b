"""What the pages by link read."""

from django.db.models import QuerySet

from clinics.models import Clinic
from scheduling.models import Assignment

__all__ = ["lead_name", "shift_questions"]


def shift_questions() -> QuerySet[Assignment]:
    """Assignments with all that the page of one needs."""
    rows = Assignment.objects.select_related("volunteer", "shift__clinic__center")
    return rows.prefetch_related("shift__clinic__bands")


def lead_name(clinic: Clinic) -> str:
    """The lead who has accepted, or nothing yet."""
    row = (
        Assignment.objects.accepted()
        .filter(shift__clinic=clinic, shift__duty="lead")
        .select_related("volunteer")
        .first()
    )
    return row.volunteer.name if row else ""
