"""Clinics of the coming week without a run sheet, with none that can be made, or whose sheet names somebody gone."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from django.urls import reverse

from clinics.models import Clinic
from clinics.needs import Desk, Need
from core.formats import clock_time, long_day
from runsheets.models import RunSheetPlan
from shifts.models import Assignment

__all__ = ["all_run_sheet_needs", "run_sheet_needs"]

SHEET_BEFORE = timedelta(days=7)


def all_run_sheet_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    return run_sheet_needs(desk.clinics, desk.now)


def run_sheet_needs(clinics: Sequence[Clinic], now: datetime) -> Iterator[Need]:
    """Clinics without a sheet, or with one that needs a look. Three queries. Clinics need bands and center loaded."""
    soon = [one for one in clinics if now < one.starts_at <= now + SHEET_BEFORE and one.children]
    sheets = RunSheetPlan.objects.filter(clinic__in=soon)
    latest = {row.clinic_id: row for row in sheets.ready().latest_each()}
    tried = sheets.latest_each()
    cannot = {row.clinic_id: row for row in tried if row.state == RunSheetPlan.State.CANNOT}
    coming: dict[int, set[int]] = {}
    accepted = Assignment.objects.accepted().filter(shift__clinic__in=latest)
    for clinic_id, who in accepted.values_list("shift__clinic_id", "volunteer_id"):
        coming.setdefault(clinic_id, set()).add(who)
    for clinic in soon:
        row = latest.get(clinic.pk)
        where = f"{clinic.center.name}, {long_day(clinic.day)}"
        if row is None and clinic.pk in cannot:
            yield Need(
                day=clinic.day,
                rank=4,
                headline=f"No run sheet can be made for {clinic.center.name}",
                detail=f"{long_day(clinic.day)}: {cannot[clinic.pk].result['binding']}",
                action_label="See what would help",
                action_href=reverse("clinic-sheet", args=[clinic.pk]),
            )
            continue
        if row is None:
            yield Need(
                day=clinic.day,
                rank=6,
                headline=f"No run sheet for {clinic.center.name}",
                detail=f"{long_day(clinic.day)}, {clinic.children} children expected: who is where when is open.",
                action_label="Plan the run sheet",
                action_href=reverse("clinic-sheet", args=[clinic.pk]),
            )
            continue
        hours = [datetime.fromisoformat(row.facts[end]) for end in ("starts_at", "ends_at")]
        if hours != [clinic.starts_at, clinic.ends_at]:
            planned = " to ".join(clock_time(at, clinic.center.tz) for at in hours)
            yield Need(
                day=clinic.day,
                rank=3,
                headline=f"The run sheet for {clinic.center.name} is for other hours",
                detail=f"{where}: it was planned for {planned}, and the clinic has moved since. Plan it anew.",
                action_label="Look at the run sheet",
                action_href=reverse("clinic-sheet", args=[clinic.pk]),
            )
        gone = [one["name"] for one in row.facts["adults"] if one["who"] not in coming.get(clinic.pk, set())]
        if gone:
            come = "comes" if len(gone) == 1 else "come"
            yield Need(
                day=clinic.day,
                rank=3,
                headline=f"The run sheet names {' and '.join(gone)}, who no longer {come}",
                detail=f"{where}: plan it anew with those who do.",
                action_label="Look at the run sheet",
                action_href=reverse("clinic-sheet", args=[clinic.pk]),
            )
