"""What the run sheets of clinics need: the answer to ``kits.hooks.needs_of_clinics``."""

from collections.abc import Iterable

from clinics.models import Clinic
from kits.rules.pack_list import spread_ages
from runsheets.models import RunSheetPlan
from runsheets.rules.sheet_facts import activities_of
from runsheets.rules.sheet_needs import SheetSlot, sheet_needs

__all__ = ["needs_of_sheets"]


def needs_of_sheets(clinics: Iterable[Clinic]) -> dict[int, dict[str, int]]:
    """By clinic, how many of each item its sheet needs; a clinic without a sheet is left out. One query.

    Reads ``spots``: prefetch them where many clinics are shown.
    """
    by_pk = {clinic.pk: clinic for clinic in clinics}
    rows = RunSheetPlan.objects.ready().filter(clinic__in=by_pk).latest_each()
    return {row.clinic_id: _needs(row, by_pk[row.clinic_id]) for row in rows}


def _needs(row: RunSheetPlan, clinic: Clinic) -> dict[str, int]:
    known = {spot.child_id: spot.age for spot in clinic.spots.all()}
    ages = {}
    for group in row.groups:
        own = [known[pk] for pk in group["children"] if pk in known]
        left = group["count"] - len(own)
        ages[group["code"]] = own + spread_ages([(group["youngest"], group["oldest"], max(0, left))])
    slots = [SheetSlot(one["kind"] != "rotation", one["stations"]) for one in row.result["slots"]]
    return sheet_needs(activities_of(row.result), slots, ages, row.facts["floor"]["hoops"])
