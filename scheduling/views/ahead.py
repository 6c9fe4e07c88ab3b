"""The coordinator's first page."""

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from clinics.models import Center, Clinic
from core import clock
from core.access import may
from people.models import Volunteer
from scheduling.queries.ahead import Need, ahead_page


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """To the first page of whoever is looking."""
    if not request.user.is_authenticated:
        return redirect("login")
    return redirect("ahead" if request.user.has_perm("people.see_ahead") else "clinics")


@require_safe
@may("see_ahead")
def ahead(request: HttpRequest) -> HttpResponse:
    today = clock.today()
    page = ahead_page(clock.now(), today)
    page = replace(page, needs=[_for(request, need) for need in page.needs])
    first_steps = None
    if not page.days and not page.needs and not Clinic.objects.exists():
        first_steps = {"centers": Center.objects.exists(), "volunteers": Volunteer.objects.exists()}
    return render(
        request,
        "scheduling/ahead.html",
        {"here": "ahead", "page": page, "today": today, "first_steps": first_steps},
    )


def _for(request: HttpRequest, need: Need) -> Need:
    """The need as this account can act on it: no button to a page that is not open to it."""
    if not need.right or request.user.has_perm(f"people.{need.right}"):
        return need
    return replace(need, action_href="", detail=f"{need.detail} {gettext('Ask an admin to do this.')}")
