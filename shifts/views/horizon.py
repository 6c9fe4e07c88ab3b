"""Clearances as bars over time, against the clinics they touch; the same as a file to download."""

from datetime import date
from urllib.parse import quote

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from clinics.models import Center
from core import clock
from core.access import may
from core.csv_out import csv_answer
from people.models import ClearanceKind, duties
from shifts.queries.horizon import Filters, HorizonPage, horizon_page
from shifts.words.bars import bar_words


@require_safe
@may("see_horizon")
def horizon(request: HttpRequest) -> HttpResponse:
    filters, centers, kinds = _filters(request)
    today = clock.today()
    shown = horizon_page(clock.now(), today, filters, request.GET.get("page"))
    return render(
        request,
        "shifts/horizon.html",
        {
            "here": "horizon",
            "today": today,
            "horizon": shown,
            "filters": filters,
            "narrowed": filters != Filters(),
            "duties": duties().choices,
            "centers": centers,
            "kinds": kinds,
            "back": quote(request.get_full_path(), safe="/"),
            "may_see": request.user.has_perm("people.see_volunteers"),
            "may_keep": request.user.has_perm("people.keep_clearances"),
        },
    )


@require_safe
@may("see_horizon")
def horizon_csv(request: HttpRequest) -> HttpResponse:
    """The page that is shown, as rows: one per clearance, then one per clinic."""
    filters, _, _ = _filters(request)
    today = clock.today()
    shown = horizon_page(clock.now(), today, filters, request.GET.get("page"))
    head = (
        gettext("volunteer"),
        gettext("duties"),
        gettext("what"),
        gettext("state"),
        gettext("expires"),
        gettext("expires before a clinic"),
    )
    return csv_answer(f"horizon-{today}.csv", head, _csv_rows(shown))


def _csv_rows(shown: HorizonPage) -> list[tuple[str, str, str, str, date | None, str]]:
    rows: list[tuple[str, str, str, str, date | None, str]] = []
    breaks = {True: gettext("yes"), False: gettext("no")}
    for row in shown.rows:
        name, duties = row.volunteer.name, row.volunteer.duty_words
        for bar in row.bars:
            state = bar_words(bar.told) or gettext("current for the whole period")
            rows.append((name, duties, bar.kind, state, bar.expires_on, ""))
        for mark in row.marks:
            rows.append((name, duties, gettext("clinic"), mark.words, None, breaks[mark.breaks]))
    return rows


def _filters(request: HttpRequest) -> tuple[Filters, list[Center], list[ClearanceKind]]:
    """What the address asks for; a word that is no filter narrows nothing."""
    centers = list(Center.objects.all())
    kinds = list(ClearanceKind.objects.all())
    duty, kind, center = (request.GET.get(name, "") for name in ("duty", "kind", "center"))
    filters = Filters(
        only_breaking=request.GET.get("show") == "breaking",
        duty=duty if duty in duties().codes else "",
        kind=kind if kind in {one.code for one in kinds} else "",
        center=next((one.pk for one in centers if str(one.pk) == center), None),
    )
    return filters, centers, kinds
