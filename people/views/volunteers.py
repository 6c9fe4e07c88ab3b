"""Volunteers: the list, one person, adding and changing."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from core import clock
from core.access import may
from core.saving import saved_or_refused
from core.theme import render_at
from people.forms.volunteers import VolunteerForm
from people.models import Clearance, Volunteer, duties
from people.queries.volunteers import duty_lines, history_lines, volunteer_lines, volunteers
from people.services.volunteers import hold_shifts, settle_change

PER_PAGE = 50


@require_safe
@may("see_volunteers")
def volunteer_list(request: HttpRequest) -> HttpResponse:
    words = request.GET.get("q", "").replace("\x00", "").strip()[:100]
    duty = request.GET.get("duty", "")
    duty = duty if duty in duties().codes else ""
    left = request.GET.get("who") == "left"
    page = Paginator(volunteers(words=words, duty=duty, left=left), PER_PAGE).get_page(request.GET.get("page"))
    today = clock.today()
    return render(
        request,
        "people/volunteers.html",
        {
            "here": "volunteers",
            "today": today,
            "page": page,
            "lines": volunteer_lines(list(page.object_list), today),
            "words": words,
            "duty": duty,
            "left": left,
            "duties": duties().choices,
            "may_keep": request.user.has_perm("people.keep_volunteers"),
            "may_import": request.user.has_perms(["people.keep_volunteers", "people.keep_clearances"]),
        },
    )


@require_safe
@may("see_volunteers")
def volunteer(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Volunteer, pk=pk)
    today = clock.today()
    return render_at(
        clock.home_zone(),
        request,
        "people/volunteer.html",
        {
            "here": "volunteers",
            "today": today,
            "person": person,
            "duty_lines": duty_lines(person, today),
            "clearances": Clearance.objects.filter(volunteer=person)
            .select_related("kind")
            .order_by("kind", "-issued_on", "-pk"),
            "history": history_lines(person),
            "may_keep": request.user.has_perm("people.keep_volunteers"),
            "may_clear": request.user.has_perm("people.keep_clearances"),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_volunteers")
def volunteer_new(request: HttpRequest) -> HttpResponse:
    form = VolunteerForm(request.POST if request.method == "POST" else None)
    return _form_page(request, form, gettext("Add a volunteer"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_volunteers")
def volunteer_change(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Volunteer, pk=pk)
    form = VolunteerForm(request.POST if request.method == "POST" else None, instance=person)
    return _form_page(request, form, gettext("Edit %(name)s") % {"name": person.name})


def _form_page(request: HttpRequest, form: VolunteerForm, heading: str) -> HttpResponse:
    def settle(person: Volunteer) -> None:
        if {"left_on", "duties"} & set(form.changed_data):
            settle_change(volunteer=person, now=clock.now())

    posted = request.method == "POST" and form.is_valid()
    person: Volunteer | None = None
    if posted:
        with transaction.atomic():
            if form.instance.pk:
                hold_shifts(volunteer=form.instance, now=clock.now())
            person = saved_or_refused(form, settle)
    if person is not None:
        messages.success(request, gettext("%(name)s saved.") % {"name": person.name})
        return redirect("volunteer", person.pk)
    context = {"here": "volunteers", "form": form, "heading": heading}
    return render(request, "people/volunteer_form.html", context, status=422 if form.errors else 200)
