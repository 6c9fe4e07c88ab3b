"""Who stands in for a clinic's lead, named by the office."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from clinics.models import Clinic
from core import clock
from core.access import may
from core.refusal import Refusal
from core.theme import render_at
from floor.forms.stand_ins import StandInForm
from floor.models import FloorStandIn
from floor.queries.floor_hours import wipe_at
from floor.queries.leading import cleared_to_lead, stand_ins_of
from floor.services.stand_ins import end_stand_in, mail_stand_in, name_stand_in
from people.access import account
from shifts.queries.link_pages import lead_of


@require_http_methods(["GET", "HEAD", "POST"])
@may("cover_clinics")
def stand_ins(request: HttpRequest, pk: int) -> HttpResponse:
    clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=pk)
    form = StandInForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            row = name_stand_in(
                clinic=clinic, volunteer=form.cleaned_data["volunteer"], by=account(request), now=clock.now()
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            words = gettext("%(name)s stands in for the lead. We’re emailing them a link of their own.")
            messages.success(request, words % {"name": row.volunteer})
            return redirect("clinic-stand-ins", pk)
    rows = stand_ins_of(clinic)
    context = {
        "here": "clinics",
        "clinic": clinic,
        "form": form,
        "lead": lead_of(clinic),
        "rows": [(row, cleared_to_lead(row.volunteer, clinic)) for row in rows],
        "may_name": clinic.live and clock.now() < wipe_at(clinic),
        "today": clock.today(clinic.center.tz),
    }
    return render_at(clinic.center.tz, request, "floor/stand_ins.html", context, status=422 if form.errors else 200)


@require_POST
@may("cover_clinics")
def stand_in_end(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    found = get_object_or_404(FloorStandIn.objects.select_related("volunteer"), pk=row, clinic=pk)
    if end_stand_in(row=found, now=clock.now()):
        words = gettext("%(name)s no longer stands in, and their link no longer works. Let them know.")
        messages.success(request, words % {"name": found.volunteer})
    return redirect("clinic-stand-ins", pk)


@require_POST
@may("cover_clinics")
def stand_in_mail(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    found = get_object_or_404(FloorStandIn, pk=row, clinic=pk)
    try:
        note = mail_stand_in(row=found, now=clock.now())
        messages.success(request, gettext("We’re emailing the floor page link to %(name)s.") % {"name": note.to_name})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic-stand-ins", pk)
