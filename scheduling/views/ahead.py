"""The coordinator's first page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from clinics.models import Center, Clinic
from config import clock
from config.access import may
from people.models import Volunteer
from scheduling.queries.ahead import ahead_page


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
    first_steps = None
    if not page.days and not page.needs and not Clinic.objects.exists():
        first_steps = {"centers": Center.objects.exists(), "volunteers": Volunteer.objects.exists()}
    return render(
        request,
        "scheduling/ahead.html",
        {"here": "ahead", "page": page, "today": today, "first_steps": first_steps},
    )
