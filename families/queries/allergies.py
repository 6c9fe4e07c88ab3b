"""How many children of a clinic nobody has ever answered for when asked about allergies."""

from clinics.models import Clinic
from families.models import Spot
from families.rules.allergies import NEVER_ANSWERED

__all__ = ["unanswered_count"]


def unanswered_count(clinic: Clinic) -> int:
    """Count them among those who have a spot. One query."""
    return Spot.objects.held().filter(clinic=clinic, child__allergies_answer=NEVER_ANSWERED).count()
