"""The run sheet of a clinic: groups, the board, pocket cards, and planning again on the day."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.models import Clinic
from core import clock
from core.access import may
from core.formats import clock_time
from core.refusal import Refusal
from core.theme import render_at
from families.queries.door_access import may_open_door, refuse_at_door
from people.access import account
from runsheets.forms.run_sheet_choices import (
    again_choice,
    choice_of,
    groups_shown,
    proposed_groups,
    start_of,
)
from runsheets.forms.run_sheets import RestForm, SheetForm
from runsheets.models import Activity, RunSheetPlan
from runsheets.queries.run_sheet_facts import facts_now, sheet_children
from runsheets.queries.run_sheet_floor import latest_ready
from runsheets.queries.run_sheets import board_of, run_sheet_page
from runsheets.queries.sheet_cards import cards_of
from runsheets.services.run_sheets import ask_rest, ask_run_sheet

State = RunSheetPlan.State


def _clinic(pk: int) -> Clinic:
    return get_object_or_404(Clinic.objects.select_related("center").prefetch_related("bands"), pk=pk)


@require_safe
@may("see_clinics", "see_door")
def sheet(request: HttpRequest, pk: int, row: int | None = None) -> HttpResponse:
    clinic = _clinic(pk)
    may_floor = may_open_door(clinic, account(request), clock.now())
    page = run_sheet_page(clinic, row, with_names=may_floor)
    if row is not None and page.row is None:
        raise Http404("There is no such run sheet.")
    context = {
        "here": "clinics",
        "clinic": clinic,
        "page": page,
        "row": page.row,
        "board": page.board,
        "today": clock.today(clinic.center.tz),
        "may_book": request.user.has_perm("people.book_clinics"),
        "coming": clinic.live and clinic.ends_at > clock.now(),
        "may_rest": _may_rest(request, clinic, may_floor),
        "may_floor": may_floor,
    }
    return render_at(clinic.center.tz, request, "runsheets/sheet.html", context)


@require_safe
@may("see_clinics", "see_door")
def sheet_cards(request: HttpRequest, pk: int) -> HttpResponse:
    clinic = _clinic(pk)
    row = latest_ready(clinic)
    may_floor = may_open_door(clinic, account(request), clock.now())
    context = {
        "here": "clinics",
        "clinic": clinic,
        "row": row,
        "cards": cards_of(row, clinic.center.tz) if row else [],
        "changed": run_sheet_page(clinic, row.pk, with_names=may_floor).changed if row else [],
        "today": clock.today(clinic.center.tz),
    }
    return render_at(clinic.center.tz, request, "runsheets/sheet_cards.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics", "see_door")
def sheet_plan(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose activities, look at the groups and move children, then plan. Nothing is kept before “Plan”."""
    clinic = _clinic(pk)
    children = sheet_children(clinic)
    activities = list(Activity.objects.offered())
    last = RunSheetPlan.objects.filter(clinic=clinic).first()
    start = start_of(clinic, activities, children, last)
    posted = request.method == "POST"
    form = SheetForm(request.POST if posted else None, activities=activities, children=children, initial=start.initial)
    notes, status = list(start.notes), 200
    if posted:
        notes, status = [], 422
        anew = request.POST.get("act") == "groups"
        if anew:
            # Whatever the groups were, they are made again; a child that has just registered is in none yet.
            for child in children:
                form.fields[f"g_{child.pk}"].required = False
        if form.is_valid():
            try:
                if anew:
                    groups, found = proposed_groups(clinic, form, children)
                    form, status = _with_groups(request, form, groups, start.initial), 200
                    notes = [*found, gettext("No run sheet is made yet.")]
                else:
                    choice = choice_of(clinic, form, children)
                    ask_run_sheet(clinic=clinic, choice=choice, by=account(request), now=clock.now())
                    return redirect("clinic-sheet", pk)
            except Refusal as refusal:
                refusal.show_on(form)
    context = {
        "here": "clinics",
        "clinic": clinic,
        "form": form,
        "groups": groups_shown(clinic, form, children),
        "registered": bool(children),
        "notes": notes,
        "today": clock.today(clinic.center.tz),
    }
    return render_at(clinic.center.tz, request, "runsheets/sheet_plan.html", context, status=status)


def _with_groups(request: HttpRequest, form: SheetForm, groups: dict[int, str], initial: dict[str, Any]) -> SheetForm:
    """The form as it was sent, each child in its new group and the new pair among the pairs."""
    data = request.POST.copy()
    for child, code in groups.items():
        data[f"g_{child}"] = code
    data.setlist("pairs", [f"{one}-{other}" for one, other in form.together])
    data["pair_a"] = data["pair_b"] = ""
    return SheetForm(data, activities=form.activities, children=form.children, initial=initial)


@require_POST
@may("book_clinics", "see_door")
def sheet_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan the last sheet again with what holds now, perhaps without one activity or with one more group."""
    clinic = _clinic(pk)
    last = RunSheetPlan.objects.filter(clinic=clinic).first()
    if last is None:
        return redirect("clinic-sheet-plan", pk)
    try:
        choice = again_choice(
            clinic,
            last,
            leave_out=request.POST.get("leave_out", ""),
            more_groups=request.POST.get("more_groups") == "1",
        )
        ask_run_sheet(clinic=clinic, choice=choice, by=account(request), now=clock.now())
    except Refusal as refusal:
        messages.error(request, gettext("No run sheet was made. %(why)s") % {"why": refusal})
    return redirect("clinic-sheet", pk)


def _may_rest(request: HttpRequest, clinic: Clinic, may_floor: bool) -> bool:
    """The office always, and on the clinic's own day whoever leads on the floor: nobody else is there to do it."""
    return request.user.has_perm("people.book_clinics") or (may_floor and clinic.day == clock.today(clinic.center.tz))


@require_http_methods(["GET", "HEAD", "POST"])
@may("see_clinics", "see_door")
def sheet_rest(request: HttpRequest, pk: int) -> HttpResponse:
    """On the day: late, someone missing, hoops out."""
    clinic = _clinic(pk)
    if not _may_rest(request, clinic, may_open_door(clinic, account(request), clock.now())):
        refuse_at_door(clinic, account(request), clock.now())
        raise PermissionDenied
    row = latest_ready(clinic)
    if row is None:
        messages.error(request, gettext("There’s no run sheet to replan. Make one first."))
        return redirect("clinic-sheet", pk)
    board = board_of(row, {}, clinic.center.tz)
    slots = [(0, gettext("nothing yet"))]
    for line, slot in zip(board.rows, row.result["slots"], strict=True):
        what = line.everybody or gettext("stations")
        end = slot["start"] + slot["minutes"]
        # By the clinic's hours of now: it may have been moved since the sheet was made.
        until = clock_time(clinic.local_start + timedelta(minutes=end))
        slots.append((end, gettext("until %(time)s: %(what)s") % {"time": until, "what": what}))
    coming = facts_now(clinic, len(row.groups))["adults"]
    adults = [(one["who"], one["name"]) for one in coming if one["who"] not in row.facts["missing"]]
    # Who opens this in the middle of the clinic means what the clock says is over.
    over = clock.now() - clinic.starts_at
    done = max(minute for minute, _ in slots if timedelta(minutes=minute) <= over or not minute)
    form = RestForm(
        request.POST if request.method == "POST" else None, slots=slots, adults=adults, initial={"done": done}
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            ask_rest(
                plan=row,
                done=int(data["done"]),
                late=data["late"],
                missing={int(who) for who in data["missing"]},
                hoops_out=data["hoops_out"],
                by=account(request),
                now=clock.now(),
            )
            return redirect("clinic-sheet", pk)
        except Refusal as refusal:
            refusal.show_on(form)
    context = {"here": "clinics", "clinic": clinic, "form": form, "today": clock.today(clinic.center.tz)}
    status = 422 if form.errors else 200
    return render_at(clinic.center.tz, request, "runsheets/sheet_rest.html", context, status=status)
