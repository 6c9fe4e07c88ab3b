"""Centers and their spaces."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods, require_safe

from clinics.forms.centers import CenterForm, SpaceForm
from clinics.models import Center, Space
from clinics.queries.agreements import agreement_book
from clinics.queries.centers import centers, coming_clinics
from clinics.services.centers import center_changed
from core import clock
from core.access import may
from core.saving import saved_or_refused
from core.theme import render_at

PER_PAGE = 50
MOST_CLINICS = 20


@require_safe
@may("see_centers")
def center_list(request: HttpRequest) -> HttpResponse:
    page = Paginator(centers(clock.now()), PER_PAGE).get_page(request.GET.get("page"))
    keep = request.user.has_perm("people.keep_centers")
    return render(request, "clinics/centers.html", {"here": "centers", "page": page, "may_keep": keep})


@require_safe
@may("see_centers")
def center(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Center.objects.prefetch_related("spaces__photos", "contacts"), pk=pk)
    return render_at(
        row.tz,
        request,
        "clinics/center.html",
        {
            "here": "centers",
            "center": row,
            "today": clock.today(row.tz),
            "agreements": agreement_book([row.pk]).lines(row, clock.today(row.tz)),
            "coming": coming_clinics(row, clock.now())[:MOST_CLINICS],
            "may_keep": request.user.has_perm("people.keep_centers"),
            "may_book": request.user.has_perm("people.book_clinics"),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def center_new(request: HttpRequest) -> HttpResponse:
    form = CenterForm(request.POST if request.method == "POST" else None)
    return _form_page(request, form, gettext("Add a center"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def center_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Center, pk=pk)
    form = CenterForm(request.POST if request.method == "POST" else None, instance=row)
    return _form_page(request, form, gettext("Edit %(name)s") % {"name": row.name})


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def space_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Center, pk=pk)
    form = SpaceForm(request.POST if request.method == "POST" else None, center=row)
    return _form_page(request, form, gettext("Add a space to %(name)s") % {"name": row.name})


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def space_change(request: HttpRequest, pk: int) -> HttpResponse:
    space = get_object_or_404(Space.objects.select_related("center"), pk=pk)
    form = SpaceForm(request.POST if request.method == "POST" else None, instance=space, center=space.center)
    return _form_page(request, form, gettext("Edit %(name)s") % {"name": space})


def _form_page(request: HttpRequest, form: CenterForm | SpaceForm, heading: str) -> HttpResponse:
    posted = request.method == "POST" and form.is_valid()
    confirmed = 0

    def settle(row: Center | Space) -> None:
        nonlocal confirmed
        if isinstance(row, Center):
            confirmed = center_changed(row, clock.now())

    saved: Center | Space | None = saved_or_refused(form, settle) if posted else None
    if saved is not None:
        messages.success(request, gettext("%(name)s saved.") % {"name": saved.name})
        if confirmed:
            done = ngettext(
                "%(n)d clinic is confirmed because the safety sheet is complete.",
                "%(n)d clinics are confirmed because the safety sheet is complete.",
                confirmed,
            )
            messages.success(request, done % {"n": confirmed})
        return redirect("center", saved.pk if isinstance(saved, Center) else saved.center_id)
    context = {"here": "centers", "form": form, "heading": heading}
    return render(request, "clinics/center_form.html", context, status=422 if form.errors else 200)
