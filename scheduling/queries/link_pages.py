"""What the pages by link read."""

from clinics.models import Clinic
from people.models import Duty
from scheduling.models import Assignment

__all__ = ["lead_name", "shift_question"]


def shift_question(pk: int) -> Assignment | None:
    rows = Assignment.objects.select_related("volunteer", "shift__clinic__center")
    return rows.prefetch_related("shift__clinic__bands").filter(pk=pk).first()


def lead_name(clinic: Clinic) -> str:
    """The lead who has accepted, or nothing yet."""
    row = (
        Assignment.objects.accepted()
        .filter(shift__clinic=clinic, shift__duty=Duty.LEAD)
        .select_related("volunteer")
        .first()
    )
    return row.volunteer.name if row else ""
