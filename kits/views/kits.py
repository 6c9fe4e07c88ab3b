"""Kits: where each is, what is in it, recording a trip, and the plan of moves."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.models import Clinic
from core import clock
from core.access import may
from core.formats import listed
from core.refusal import Refusal
from core.saving import saved_with_rows
from core.theme import render_at
from kits.forms.kits import KitCodeForm, KitForm, KitItems, KitMoveForm, KitPlanForm
from kits.hooks import needs_to_pack
from kits.models import Kit, KitLoss, KitPlan
from kits.queries.condition import (
    against_kind,
    checks_due,
    kit_troubles,
    kits_with_state,
    next_clinics,
    pack_lines,
)
from kits.queries.kits import kit_lines_with_state, likely_places
from kits.queries.packing import ages_to_pack_for
from kits.services import kit_plans
from kits.services.holds import kit_of
from kits.services.kits import move_kit
from kits.views.kit_code import code_picture
from kits.words.kits import where_words
from kits.words.plans import plan_notes, plan_trouble, trip_start
from people.access import account

MOST_CHILDREN = 500


@require_safe
@may("see_kits")
def kit_list(request: HttpRequest) -> HttpResponse:
    lines = kit_lines_with_state(clock.now(), clock.today())
    return render(
        request,
        "kits/kits.html",
        {
            "here": "kits",
            "today": clock.today(),
            "lines": lines,
            "astray": sum(line.astray for line in lines),
            "code_form": KitCodeForm(),
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
                now=clock.now(),
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            messages.success(
                request, gettext("Location saved: %(kit)s is %(where)s.") % {"kit": kit, "where": where_words(kit)}
            )
            return redirect("kits")
    places, me = likely_places(kit, clock.now()), account(request).name
    context = {"here": "kits", "kit": kit, "where": where_words(kit), "form": form, "places": places, "me": me}
    return render(request, "kits/kit_move.html", context, status=422 if form.errors else 200)


@require_safe
@may("see_kits")
def kit(request: HttpRequest, pk: int) -> HttpResponse:
    """One kit: what is in it against what its kind asks, what is due, its losses, and the code on it."""
    row = get_object_or_404(kits_with_state(), pk=pk)
    today, following = clock.today(), next_clinics(clock.now(), with_bands=True).get(pk)
    children = _children(request, row)
    losses = KitLoss.objects.filter(item__kit=row).select_related("item", "clinic__center", "recorded_by", "righted_by")
    needed = {line.item.casefold(): line for line in against_kind(row, children, today)} if children else {}
    sheets = needs_to_pack([following]) if following else {}
    context = {
        "here": "kits",
        "kit": row,
        "where": where_words(row),
        "items": [(item, item.held().usable(today), needed.get(item.name.casefold())) for item in row.items.all()],
        "short": [line for line in needed.values() if line.short],
        "children": children,
        "typed": request.GET.get("children", children),
        "children_wrong": children is None and row.kind is not None,
        "next": following,
        "next_short": [line for line in pack_lines(row, following, sheets) if line.short] if following else [],
        "troubles": kit_troubles(row, following.day if following else today, bool(following and following.theme)),
        "checks": checks_due([row], today, {pk: following.day} if following else {}).get(pk, []),
        "counts": row.checks.filter(words__gt="").select_related("by")[:5],
        "open": [loss for loss in losses if not loss.righted],
        "righted": [loss for loss in losses if loss.righted],
        "code": code_picture(row),
        "today": today,
        "may_keep": request.user.has_perm("people.keep_kits"),
    }
    return render(request, "kits/kit.html", context, status=422 if context["children_wrong"] else 200)


def _children(request: HttpRequest, row: Kit) -> int | None:
    """How many children the kit is compared for; None where there is no kind, or what was typed will not do."""
    if row.kind is None:
        return None
    typed = request.GET.get("children", str(row.kind.children)).strip()
    if typed.isdecimal() and len(typed) < 5 and 1 <= int(typed) <= MOST_CHILDREN:
        return int(typed)
    return None


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_new(request: HttpRequest) -> HttpResponse:
    return _kit_form(request, None, gettext("Add a kit"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_kits")
def kit_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Kit, pk=pk)
    return _kit_form(request, row, gettext("Edit %(kit)s") % {"kit": row})


def _kit_form(request: HttpRequest, row: Kit | None, heading: str) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form, items = KitForm(data, instance=row), KitItems(data, instance=row, prefix="items")
    saved = saved_with_rows(form, items) if data is not None and form.is_valid() and items.is_valid() else None
    if saved is not None:
        messages.success(request, gettext("%(kit)s saved.") % {"kit": saved})
        _tell_old(request, items)
        return redirect("kit", saved.pk)
    context = {"here": "kits", "form": form, "items": items, "heading": heading}
    return render(request, "kits/kit_form.html", context, status=200 if data is None else 422)


def _tell_old(request: HttpRequest, items: KitItems) -> None:
    """What was just entered with an expired date is saved, and said."""
    old = [
        one.instance.name
        for one in items.forms
        if one not in items.deleted_forms
        and "last_day" in one.changed_data
        and one.instance.last_day is not None
        and one.instance.last_day < clock.today()
    ]
    if old:
        messages.warning(
            request,
            gettext("Already expired: %(items)s. This kit can’t be used. Replace what’s expired, or correct the date.")
            % {"items": listed(old)},
        )


@require_safe
@may("see_clinics")
def pack(request: HttpRequest, pk: int) -> HttpResponse:
    """What goes into the bag for a clinic, for the printer."""
    clinic = get_object_or_404(Clinic.objects.select_related("center").prefetch_related("bands", "spots"), pk=pk)
    held = kit_of(clinic)
    if held is not None:
        held = kits_with_state(Kit.objects.filter(pk=held.pk)).get()
    sheets = needs_to_pack([clinic])
    lines = pack_lines(held, clinic, sheets)
    context = {
        "here": "clinics",
        "clinic": clinic,
        "kit": held,
        "lines": lines,
        "short": [line for line in lines if line.short],
        "troubles": kit_troubles(held, clinic.day, bool(clinic.theme)) if held else [],
        "children": len(ages_to_pack_for(clinic)),
        "sheet": clinic.pk in sheets,
        "today": clock.today(clinic.center.tz),
    }
    return render_at(clinic.center.tz, request, "kits/pack.html", context)


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
    return render(request, "kits/kit_plans.html", context, status=422 if form.errors else 200)


@require_safe
@may("keep_kits")
def kit_plan(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(KitPlan, pk=pk)
    clinics = Clinic.objects.select_related("center").in_bulk(
        [*row.result.get("unserved", []), *(trip["clinic"] for trip in row.result.get("trips", []))]
    )
    trips = [
        trip | {"row": clinics.get(trip["clinic"]), "from": trip_start(trip)} for trip in row.result.get("trips", [])
    ]
    unserved = [clinics[pk] for pk in row.result.get("unserved", []) if pk in clinics]
    context = {
        "here": "kits",
        "row": row,
        "trips": trips,
        "unserved": unserved,
        "notes": plan_notes(row.result.get("notes", [])),
        "trouble": plan_trouble(row.trouble),
        "today": clock.today(),
    }
    return render(request, "kits/kit_plan.html", context)


@require_POST
@may("keep_kits")
def kit_plan_book(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(KitPlan, pk=pk)
    try:
        count = kit_plans.book_kit_plan(plan=row, now=clock.now())
        words = ngettext(
            "Plan booked. %(n)d clinic now has a different kit or no kit.",
            "Plan booked. %(n)d clinics now have a different kit or no kit.",
            count,
        )
        messages.success(request, words % {"n": count})
    except Refusal as refusal:
        messages.error(request, gettext("Nothing was changed. %(why)s") % {"why": refusal})
    return redirect("kit-plan", pk)
