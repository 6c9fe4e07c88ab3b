"""What alarms the lead at this moment, by what their phones have sent: for the office."""

from datetime import date

from clinics.models import Clinic
from families.models import Spot
from floor.models import FloorDay, SignIn
from floor.queries.page_adults import adults_data
from floor.queries.page_ratio import asked_tables, duties_asked
from floor.rules.alarms import AdultHere, Alarm, alarms
from floor.rules.twins import ages_counted

__all__ = ["alarms_now"]


def alarms_now(clinic: Clinic, today: date) -> list[Alarm]:
    """Every reason for alarm, the most dangerous first. Needs the center; a constant number of queries."""
    open_rows = SignIn.objects.filter(clinic=clinic, out_at=None).values_list("child_id", "volunteer_id")
    children = {child for child, _ in open_rows if child is not None}
    if not children:
        return []
    ages = dict(Spot.objects.filter(clinic=clinic, child__in=children).values_list("child_id", "age"))
    inside = {f"v{volunteer}" for _, volunteer in open_rows if volunteer is not None}
    here: dict[str, AdultHere] = {}
    for row in adults_data(clinic, today):
        if row["who"] in inside:
            # Somebody with two duties is one adult.
            known = here.get(row["who"], AdultHere(False))
            here[row["who"]] = AdultHere(known.counts or row["counts"], [*known.cleared, *row["cleared"]])
    twins = FloorDay.objects.filter(clinic=clinic).values_list("twins", flat=True).first() or []
    counted = ages_counted({str(child): age for child, age in ages.items()}, [(str(a), str(b)) for a, b in twins])
    found = [counted.get(str(child), 0) for child in children]
    return alarms(found, list(here.values()), asked_tables(clinic), duties_asked(clinic))
