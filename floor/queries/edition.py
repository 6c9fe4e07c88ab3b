"""When a phone must ask for the day anew: a short text that it gets with each answer."""

from django.db.models import Count, Max

from clinics.models import Clinic, Status
from families.models import PickupPerson
from floor.models import MergedNumber
from floor.queries.follow_ups import not_cleared_marks
from runsheets.models import RunSheetPlan

__all__ = ["edition_of"]


def edition_of(clinic: Clinic) -> str:
    """A short text that changes with what a phone at the door must not be the last to know. A few queries.

    The clinic's hours, whether it takes place, its run sheet, whom a child must not be handed to, who may not play
    yet; and when two records become one, since what is known of a child is then more than the phone has.
    """
    sheet = RunSheetPlan.objects.ready().filter(clinic=clinic).latest_each().values_list("pk", flat=True).first()
    hours = f"{clinic.starts_at.isoformat()} {clinic.ends_at.isoformat()}"
    merged = MergedNumber.objects.order_by("-pk").values_list("pk", flat=True).first()
    away = PickupPerson.objects.filter(must_not=True, child__spots__clinic=clinic).aggregate(
        last=Max("pk"), ended=Count("ended_at")
    )
    barred = f"{away['last'] or 0}-{away['ended']}"
    marks = f"{sheet or 0} {merged or 0} {barred} {not_cleared_marks(clinic)}"
    return f"{clinic.revision} {hours} {clinic.status == Status.CANCELLED:d} {marks}"
