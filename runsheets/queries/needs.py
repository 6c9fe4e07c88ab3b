"""Clinics of the coming week without a run sheet, with none that can be made, or whose sheet names someone gone."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from clinics.models import Clinic
from clinics.needs import Desk, Need
from core.formats import listed, long_day, span
from runsheets.models import RunSheetPlan
from runsheets.words.reasons import binding_words
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
        where = {"center": clinic.center.name, "day": long_day(clinic.day)}
        sheet = reverse("clinic-sheet", args=[clinic.pk])
        if row is None and clinic.pk in cannot:
            yield Need(
                day=clinic.day,
                rank=4,
                headline=gettext("We couldn’t make a run sheet for %(center)s") % where,
                detail=gettext("%(day)s: %(why)s")
                % {**where, "why": binding_words(cannot[clinic.pk].result["binding"])},
                action_label=gettext("See how to fix it"),
                action_href=sheet,
            )
            continue
        if row is None:
            detail = ngettext(
                "%(day)s, %(n)d child expected. There’s no schedule for the groups yet.",
                "%(day)s, %(n)d children expected. There’s no schedule for the groups yet.",
                clinic.children,
            )
            yield Need(
                day=clinic.day,
                rank=6,
                headline=gettext("%(center)s needs a run sheet") % where,
                detail=detail % {**where, "n": clinic.children},
                action_label=gettext("Make the run sheet"),
                action_href=sheet,
            )
            continue
        hours = [datetime.fromisoformat(row.facts[end]) for end in ("starts_at", "ends_at")]
        if hours != [clinic.starts_at, clinic.ends_at]:
            detail = gettext("%(day)s: it was made for %(hours)s, but the clinic has moved. Plan it again.")
            yield Need(
                day=clinic.day,
                rank=3,
                headline=gettext("%(center)s’s run sheet has the old hours") % where,
                detail=detail % {**where, "hours": span(hours[0], hours[1], clinic.center.tz)},
                action_label=gettext("Open run sheet"),
                action_href=sheet,
            )
        gone = [one["name"] for one in row.facts["adults"] if one["who"] not in coming.get(clinic.pk, set())]
        if gone:
            headline = ngettext(
                "The run sheet lists %(names)s, who is no longer coming",
                "The run sheet lists %(names)s, who are no longer coming",
                len(gone),
            )
            yield Need(
                day=clinic.day,
                rank=3,
                headline=headline % {"names": listed(gone)},
                detail=gettext("%(center)s, %(day)s: plan it again without them.") % where,
                action_label=gettext("Open run sheet"),
                action_href=sheet,
            )
