"""Kits: where each is, what is in it, recording a trip, and the plan of moves."""

from datetime import timedelta

import segno
from django.conf import settings
from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.models import Clinic
from clinics.rules.pack_list import pack_list
from config import clock
from config.access import may
from config.look import render_at
from config.refusal import Refusal
from people.access import account
from scheduling.forms.kits import KitForm, KitItems, KitMoveForm, KitPlanForm
from scheduling.models import Kit, KitPlan
from scheduling.queries.kits import kit_lines, where_words
from scheduling.services import kit_plans
from scheduling.services.holds import kit_of
from scheduling.services.kits import move_kit


@require_safe
@may("see_kits")
def kit_list(request: HttpRequest) -> HttpResponse:
    lines = kit_lines(clock.now())
    return render(
        request,
        "scheduling/kits.html",
        {
            "here": "kits",
            "today": clock.today(),
            "lines": lines,
            "astray": sum(line.astray for line in lines),
            "may_keep": request.user.has_perm("people.keep_kits"),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_move(request: HttpRequest, pk: int) -> HttpResponse:
    kit = get_object_or_404(Kit.objects.select_related("now_at"), pk=pk)
    # Nothing is filled in: the old place beside the new one would read as two places.
    form = KitMoveForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            kit = move_kit(
                kit=kit,
                to_center=data["now_at"],
                with_whom=data["with_whom"],
                by=account(request),
                now=clock.now(),
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            messages.success(request, f"{kit} is now {where_words(kit)}.")
            return redirect("kits")
    context = {"here": "kits", "kit": kit, "where": where_words(kit), "form": form}
    return render(request, "scheduling/kit_move.html", context, status=422 if form.errors else 200)


@require_safe
@may("see_kits")
def kit(request: HttpRequest, pk: int) -> HttpResponse:
    """One kit: what is in it, and the code on it that opens the page to hand it over."""
    row = get_object_or_404(Kit.objects.select_related("now_at").prefetch_related("items"), pk=pk)
    address = settings.SITE_URL + reverse("kit-move", args=[pk])
    code = segno.make(address, error="m").svg_inline(scale=4, border=2, title=f"Opens the page to move {row}")
    context = {
        "here": "kits",
        "kit": row,
        "where": where_words(row),
        "code": mark_safe(code),
        "today": clock.today(),
        "may_keep": request.user.has_perm("people.keep_kits"),
    }
    return render(request, "scheduling/kit.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_new(request: HttpRequest) -> HttpResponse:
    return _kit_form(request, None, "Add a kit")


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Kit, pk=pk)
    return _kit_form(request, row, f"What is in {row}?")


def _kit_form(request: HttpRequest, row: Kit | None, heading: str) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form, items = KitForm(data, instance=row), KitItems(data, instance=row, prefix="items")
    if data is not None and form.is_valid() and items.is_valid():
        with transaction.atomic():
            saved = form.save()
            items.instance = saved
            items.save()
        messages.success(request, f"{saved} is saved.")
        return redirect("kit", saved.pk)
    context = {"here": "kits", "form": form, "items": items, "heading": heading}
    status = 422 if form.errors or any(items.errors) else 200
    return render(request, "scheduling/kit_form.html", context, status=status)


@require_safe
@may("see_clinics")
def pack(request: HttpRequest, pk: int) -> HttpResponse:
    """What goes into the bag for a clinic, for the printer."""
    clinic = get_object_or_404(Clinic.objects.select_related("center").prefetch_related("bands"), pk=pk)
    held = kit_of(clinic)
    contents = {item.name: item.count for item in held.items.all()} if held else {}
    bands = [(band.youngest, band.oldest, band.children) for band in clinic.bands.all()]
    lines = pack_list(bands, bool(clinic.theme), contents)
    context = {
        "here": "clinics",
        "clinic": clinic,
        "kit": held,
        "lines": lines,
        "short": [line for line in lines if line.short],
        "today": clock.today(clinic.center.tz),
    }
    return render_at(clinic.center.tz, request, "scheduling/pack.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_plans_page(request: HttpRequest) -> HttpResponse:
    today = clock.today()
    form = KitPlanForm(request.POST or None, initial={"first_day": today, "last_day": today + timedelta(days=60)})
    if request.method == "POST" and form.is_valid():
        days = form.cleaned_data
        try:
            row = kit_plans.ask_kit_plan(
                first=days["first_day"], last=days["last_day"], by=account(request), now=clock.now()
            )
            return redirect("kit-plan", row.pk)
        except Refusal as refusal:
            refusal.show_on(form)
    context = {"here": "kits", "form": form, "plans": KitPlan.objects.all()[:20], "today": today}
    return render(request, "scheduling/kit_plans.html", context, status=422 if form.errors else 200)


@require_safe
@may("keep_kits")
def kit_plan(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(KitPlan, pk=pk)
    clinics = Clinic.objects.select_related("center").in_bulk(
        [*row.result.get("unserved", []), *(trip["clinic"] for trip in row.result.get("trips", []))]
    )
    trips = [trip | {"row": clinics.get(trip["clinic"])} for trip in row.result.get("trips", [])]
    unserved = [clinics[pk] for pk in row.result.get("unserved", []) if pk in clinics]
    context = {"here": "kits", "row": row, "trips": trips, "unserved": unserved, "today": clock.today()}
    return render(request, "scheduling/kit_plan.html", context)


@require_POST
@may("keep_kits")
def kit_plan_book(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(KitPlan, pk=pk)
    try:
        count = kit_plans.book_kit_plan(plan=row, by=account(request), now=clock.now())
        messages.success(request, f"Booked: {count} clinic{'s have' if count != 1 else ' has'} another kit now.")
    except Refusal as refusal:
        messages.error(request, f"Nothing was changed. {refusal}")
    return redirect("kit-plan", pk)
