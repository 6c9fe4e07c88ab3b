"""One child: the page, and everything the office writes about it."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.models import Clinic
from core import clock
from core.access import may
from core.parsing import row_named
from core.refusal import Refusal
from core.theme import render_at
from families.forms.child import (
    CareRecordForm,
    ChildRecordForm,
    GuardianForm,
    KeepAwayForm,
    PaperForm,
    PickupPersonRecordForm,
)
from families.models import Child, PickupPerson, Spot, SpotState, Waiver
from families.queries.child import child_page, clinics_to_give
from families.rules.care import care_opens
from families.services.care import care_mark, care_on_file, read_care, write_care
from families.services.family_records import (
    add_guardian,
    add_pickup_person,
    end_pickup_person,
    keep_away,
    record_paper_waiver,
)
from families.services.households import answer_photo, withdraw_waiver
from families.services.office import change_child, give_spot
from families.services.spots import end_spot
from people.access import account


@require_safe
@may("see_children")
def child(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, _child(pk))


@require_POST
@may("see_children", "read_care")
def care(request: HttpRequest, pk: int) -> HttpResponse:
    """The page with what is locked, which is written down and not kept by the browser."""
    row = get_object_or_404(Child.objects.known(), pk=pk)
    read_care(children=[row], by=account(request), where=f"page of child {row.pk}", now=clock.now())
    form = CareRecordForm(initial=care_on_file(row))
    return _page(request, row, care_form=form, opened=True, care_mark=care_mark(row))


@require_POST
@may("see_children", "keep_children", "read_care")
def care_write(request: HttpRequest, pk: int) -> HttpResponse:
    row = _child(pk)
    form = CareRecordForm(request.POST)
    if not form.is_valid():
        return _page(request, row, care_form=form, care_mark=request.POST.get("was", ""), status=422)
    try:
        write_care(child=row, was=request.POST.get("was"), **form.cleaned_data)
    except Refusal as refusal:
        refusal.show_on(form)
        now = Child.objects.get(pk=row.pk)
        read_care(children=[now], by=account(request), where=f"page of child {row.pk}", now=clock.now())
        return _page(request, now, care_form=form, care_now=now, care_mark=care_mark(now), status=409)
    messages.success(request, _("%(child)s’s care notes are saved and locked.") % {"child": row.given_name})
    return redirect("child", pk)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_children")
def child_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = _child(pk)
    facts = {name: getattr(row, name) for name in ("name", "birth_date", "experience", "school_year")}
    form = ChildRecordForm(request.POST or None, initial=facts)
    if request.method == "POST" and form.is_valid():
        try:
            change_child(child=row, facts=form.cleaned_data, now=clock.now())
            messages.success(request, _("%(child)s is saved.") % {"child": form.cleaned_data["name"]})
            return redirect("child", pk)
        except Refusal as refusal:
            refusal.show_on(form)
    return _form(request, row, form, _("Edit %(child)s") % {"child": row}, _("Save details"))


@require_POST
@may("keep_children")
def photo_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """What a guardian told the office about photos, on paper or by phone. Every guardian's no still wins."""
    row = _child(pk)
    said = request.POST.get("allowed")
    if said not in ("yes", "no"):
        messages.error(request, _("Choose yes or no for photos."))
        return redirect("child", pk)
    answer_photo(child=row, guardian=None, allowed=said == "yes", now=clock.now())
    words = _("Recorded a guardian’s yes to photos of %(child)s.")
    if said == "no":
        words = _("Recorded a guardian’s no to photos of %(child)s.")
    messages.success(request, words % {"child": row.given_name})
    return redirect("child", pk)


@require_POST
@may("keep_children")
def pickup_person_new(request: HttpRequest, pk: int) -> HttpResponse:
    row, by = _child(pk), account(request)
    away = request.POST.get("what") == "away"
    form: forms.Form = KeepAwayForm(request.POST, request.FILES) if away else PickupPersonRecordForm(request.POST)
    if form.is_valid():
        try:
            write = keep_away if away else add_pickup_person
            one = write(child=row, by=by, now=clock.now(), **form.cleaned_data)
            words = _("%(name)s may pick up %(child)s.")
            if away:
                words = _("%(name)s must not pick up %(child)s. The sign-in sheet shows it.")
            messages.success(request, words % {"name": one, "child": row.given_name})
            return redirect("child", pk)
        except Refusal as refusal:
            refusal.show_on(form)
    return _page(request, row, status=422, **{"away_form" if away else "may_form": form})


@require_POST
@may("keep_children")
def pickup_person_end(request: HttpRequest, pk: int, pickup_person: int) -> HttpResponse:
    row = get_object_or_404(PickupPerson, pk=pickup_person, child_id=pk)
    end_pickup_person(pickup_person=row, now=clock.now())
    messages.success(
        request, _("%(name)s was removed from the pickup list. The history keeps a record.") % {"name": row}
    )
    return redirect("child", pk)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_children")
def guardian_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = _child(pk)
    form = GuardianForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            guardian = add_guardian(child=row, now=clock.now(), **form.cleaned_data)
            words = _("%(guardian)s is now a guardian of %(child)s.")
            messages.success(request, words % {"guardian": guardian, "child": row.given_name})
            return redirect("child", pk)
        except Refusal as refusal:
            refusal.show_on(form)
    return _form(request, row, form, _("Add a guardian for %(child)s") % {"child": row}, _("Add guardian"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_children")
def paper_waiver(request: HttpRequest, pk: int) -> HttpResponse:
    row = _child(pk)
    form = PaperForm(request.POST or None, child=row)
    if request.method == "POST" and form.is_valid():
        facts = {name: form.cleaned_data[name] for name in ("text", "guardian", "typed_name", "signed_on")}
        try:
            record_paper_waiver(child=row, by=account(request), today=clock.today(), now=clock.now(), **facts)
            words = _("Paper waiver for %(child)s recorded. Checked by %(name)s.")
            messages.success(request, words % {"child": row.given_name, "name": account(request).name})
            return redirect("child", pk)
        except Refusal as refusal:
            for reason in refusal.reasons:
                field = {"signed": "signed_on"}.get(reason.field or "", reason.field)
                form.add_error(field if field in form.fields else None, reason.text)
    return _form(
        request, row, form, _("Record a paper waiver for %(child)s") % {"child": row}, _("Save the paper waiver")
    )


@require_POST
@may("keep_children")
def withdraw(request: HttpRequest, pk: int, waiver: int) -> HttpResponse:
    row = get_object_or_404(Waiver, pk=waiver, child_id=pk)
    withdraw_waiver(waiver=row, by=account(request).name, now=clock.now())
    messages.success(request, _("Signature withdrawn. It stays on file but is no longer valid."))
    return redirect("child", pk)


@require_POST
@may("keep_children")
def spot_give(request: HttpRequest, pk: int) -> HttpResponse:
    row = _child(pk)
    clinic = row_named(Clinic.objects.all(), request.POST.get("clinic", ""))
    if clinic is None:
        return _page(request, row, status=422, give_trouble=_("Choose a clinic."))
    try:
        spot = give_spot(clinic=clinic, child=row, now=clock.now())
    except Refusal as refusal:
        return _page(request, row, status=422, give_trouble=str(refusal))
    if spot.state == SpotState.WAITING:
        words = _("%(clinic)s is full. %(child)s is on the waiting list.")
        messages.warning(request, words % {"clinic": clinic, "child": row.given_name})
    else:
        words = _("%(child)s has a spot at %(clinic)s.")
        messages.success(request, words % {"clinic": clinic, "child": row.given_name})
    return redirect("child", pk)


@require_POST
@may("keep_children")
def spot_end(request: HttpRequest, pk: int, spot: int) -> HttpResponse:
    rows = Spot.objects.select_related("clinic__center", "guardian", "child")
    row = get_object_or_404(rows.defer("child__allergies", "child__care_notes"), pk=spot, child_id=pk)
    if row.clinic.ends_at <= clock.now():
        messages.error(request, _("This clinic is over, so spots can’t change."))
        return redirect("child", pk)
    offered = end_spot(spot=row, because="given up by the office", by=account(request), now=clock.now())
    words = _("%(child)s’s spot at %(clinic)s is given up.")
    if offered:
        words = _(
            "%(child)s’s spot at %(clinic)s is given up. We’ve offered it to the first child on the waiting list."
        )
    messages.success(request, words % {"child": row.child.given_name, "clinic": row.clinic})
    return redirect("child", pk)


def _child(pk: int) -> Child:
    """Without what is locked: it is not opened unless someone asks to read it."""
    return get_object_or_404(Child.objects.known().defer("allergies", "care_notes"), pk=pk)


def _page(request: HttpRequest, row: Child, status: int = 200, **more: Any) -> HttpResponse:
    now, today = clock.now(), clock.today()
    reads = care_opens(
        reads_care=request.user.has_perm("people.read_care"),
        keeps_records=request.user.has_perm("people.see_children"),
        clinic_day=None,
        today_there=None,
    )
    keep = request.user.has_perm("people.keep_children")
    context = {
        "here": "children",
        "today": today,
        "page": child_page(row, today, now),
        "child": row,
        "reads": reads,
        "opened": False,
        "may_keep": keep,
        "may_form": PickupPersonRecordForm(),
        "away_form": KeepAwayForm(),
        "give": clinics_to_give(row, now) if keep else [],
        **more,
    }
    answer = render_at(clock.home_zone(), request, "families/child.html", context, status=status)
    if more.get("care_form") is not None:
        answer["Cache-Control"] = "no-store"
    return answer


def _form(request: HttpRequest, row: Child, form: forms.Form, heading: str, verb: str) -> HttpResponse:
    context = {"here": "children", "form": form, "heading": heading, "verb": verb, "child": row}
    return render(request, "families/child_form.html", context, status=422 if form.errors else 200)
