"""Recording and correcting clearances: the admin's alone."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from core import clock
from core.access import may
from core.refusal import Refusal
from people.access import account
from people.forms.clearances import ClearanceForm
from people.models import Clearance, ClearanceKind, Volunteer
from people.services.clearances import change_clearance, confirm_refusal, record_clearance


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_clearances")
def clearance_new(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Volunteer, pk=pk)
    kind = ClearanceKind.objects.filter(code=request.GET.get("kind", "").replace("\x00", "")).first()
    initial: dict[str, Any] = {"kind": kind.pk if kind else None, "issued_on": clock.today()}
    form = ClearanceForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            row = record_clearance(volunteer=person, facts=form.facts(), by=account(request), now=clock.now())
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            facts = {"person": person.name, "clearance": row.kind.name}
            messages.success(request, gettext("%(person)s: %(clearance)s saved.") % facts)
            return redirect(_back(request, person))
    return _form_page(request, form, person, gettext("Record a clearance for %(name)s") % {"name": person.name})


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_clearances")
def clearance_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Clearance.objects.select_related("volunteer", "kind"), pk=pk)
    person = row.volunteer
    form = ClearanceForm(request.POST if request.method == "POST" else None, instance=row)
    if request.method == "POST" and form.is_valid():
        try:
            change_clearance(clearance=row, facts=form.facts(), by=account(request), now=clock.now())
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            done = gettext("%(name)s: record corrected. The old version is in the history.")
            messages.success(request, done % {"name": person.name})
            return redirect(_back(request, person))
    heading = gettext("Correct %(name)s’s %(clearance)s") % {"name": person.name, "clearance": row.kind.name}
    return _form_page(request, form, person, heading)


@require_POST
@may("keep_clearances")
def clearance_confirm(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Clearance.objects.select_related("volunteer", "kind"), pk=pk)
    try:
        confirm_refusal(clearance=row, by=account(request), now=clock.now())
        done = gettext(
            "Confirmed. %(name)s is off all upcoming shifts that require %(clearance)s. "
            "We’re emailing them about each shift."
        )
        messages.success(request, done % {"name": row.volunteer.name, "clearance": row.kind.name})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("volunteer", row.volunteer_id)


def _back(request: HttpRequest, person: Volunteer) -> str:
    """Where she came from, when that is a page of ours; else the person."""
    wanted = request.POST.get("next") or request.GET.get("next", "")
    if url_has_allowed_host_and_scheme(wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()):
        return wanted
    return reverse("volunteer", args=[person.pk])


def _form_page(request: HttpRequest, form: ClearanceForm, person: Volunteer, heading: str) -> HttpResponse:
    context = {
        "here": "volunteers",
        "form": form,
        "person": person,
        "heading": heading,
        "next": _back(request, person),
        "kinds": ClearanceKind.objects.exists(),
    }
    return render(request, "people/clearance_form.html", context, status=422 if form.errors else 200)
