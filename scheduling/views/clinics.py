"""Clinics as a list, and one clinic on one page."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from clinics.models import Center, Clinic
from clinics.queries.agreements import agreement_book
from core import clock
from core.access import may
from core.theme import render_at
from families.queries.door import band_spots
from families.queries.door_access import may_open_door
from floor.queries.clinic_line import floor_line
from people.access import account
from scheduling.queries.clinics import clinic_page, clinics_ahead, clinics_past, lines_by_day
from scheduling.views.calendar import VIEWS, calendar, chosen_center, list_tabs

PER_PAGE = 30


@require_safe
@may("see_clinics")
def clinic_list(request: HttpRequest) -> HttpResponse:
    if request.GET.get("view") in VIEWS:
        return calendar(request)
    now = clock.now()
    past = request.GET.get("when") == "past"
    rows = clinics_past(now) if past else clinics_ahead(now)
    chosen = chosen_center(request)
    if chosen is not None:
        rows = rows.filter(center=chosen)
    page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "scheduling/clinics.html",
        {
            "here": "clinics",
            "view": "list",
            "tabs": list_tabs(chosen),
            "today": clock.today(),
            "page": page,
            "days": lines_by_day(page.object_list),
            "past": past,
            "centers": Center.objects.all(),
            "chosen": chosen,
            "may_book": request.user.has_perm("people.book_clinics"),
        },
    )


@require_safe
@may("see_clinics")
def clinic(request: HttpRequest, pk: int) -> HttpResponse:
    """The whole page, or only its cover when a part is asked for, so that a reply shows at once."""
    row = get_object_or_404(
        Clinic.objects.select_related("center").prefetch_related("bands", "center__contacts"), pk=pk
    )
    now = clock.now()
    today = clock.today(row.center.tz)
    part = request.htmx and request.GET.get("part") == "cover"  # type: ignore[attr-defined]
    return render_at(
        row.center.tz,
        request,
        "shifts/_cover.html" if part else "scheduling/clinic.html",
        {
            "here": "clinics",
            "today": today,
            "page": clinic_page(row, today),
            "clinic": row,
            "gaps": agreement_book([row.center_id]).gaps(row.center, row.day)
            if row.live and row.starts_at > now
            else [],
            "tables": row.ratio_tables,
            "coming": row.live and row.starts_at > now,
            "may_book": request.user.has_perm("people.book_clinics"),
            "may_cover": request.user.has_perm("people.cover_clinics"),
            "spots": [] if part else band_spots(row),
            "may_door": not part and may_open_door(row, account(request), now),
            "may_children": request.user.has_perm("people.see_children"),
            "floor": None if part else floor_line(row, account(request).email, now),
        },
    )
