"""Clearances as bars over time, against the clinics they touch."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from config import clock
from config.access import may
from people.models import Duty
from scheduling.queries.horizon import horizon_page


@require_safe
@may("see_horizon")
def horizon(request: HttpRequest) -> HttpResponse:
    duty = request.GET.get("duty", "")
    duty = duty if duty in Duty.values else ""
    only_breaking = request.GET.get("show") == "breaking"
    today = clock.today()
    shown = horizon_page(clock.now(), today, only_breaking=only_breaking, duty=duty, page=request.GET.get("page"))
    return render(
        request,
        "scheduling/horizon.html",
        {
            "here": "horizon",
            "today": today,
            "horizon": shown,
            "duties": Duty.choices,
            "duty": duty,
            "only_breaking": only_breaking,
            "may_keep": request.user.has_perm("people.keep_clearances"),
        },
    )
