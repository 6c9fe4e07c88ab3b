"""How people are asked: the rules, who is kept apart, who stands by, swaps to settle, and who has given what."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from core import clock
from core.access import may
from core.actions import action_of
from core.csv_out import csv_answer
from core.refusal import Refusal
from people.access import account
from people.models import Volunteer
from shifts.forms.asking_rules import ApartForm, AskingRulesForm
from shifts.models import AskingRules, KeptApart, Shift, Standby, Swap
from shifts.queries.load import load_lines
from shifts.services.standby import put_on_standby, take_off_standby
from shifts.services.swaps import settle_swap
from shifts.views.cover import chosen

PER_PAGE = 100


def _show_rules(
    request: HttpRequest, *, form: AskingRulesForm | None = None, apart: ApartForm | None = None
) -> HttpResponse:
    """The page as it is, or with a form as it was typed and why it was refused."""
    form, apart = form or AskingRulesForm(instance=AskingRules.current()), apart or ApartForm()
    pairs = KeptApart.objects.select_related("one", "other")
    context = {"here": "cover", "form": form, "apart": apart, "pairs": pairs}
    status = 422 if form.errors or apart.errors else 200
    return render(request, "shifts/asking_rules.html", context, status=status)


@require_safe
@may("cover_clinics")
def asking_rules(request: HttpRequest) -> HttpResponse:
    return _show_rules(request)


@may("cover_clinics")
@action_of("asking-rules")
def asking_rules_save(request: HttpRequest) -> HttpResponse:
    form = AskingRulesForm(request.POST, instance=AskingRules.current())
    if not form.is_valid():
        return _show_rules(request, form=form)
    form.save()
    messages.success(request, "Saved. It holds from the next question on.")
    return redirect("asking-rules")


@may("cover_clinics")
@action_of("asking-rules")
def apart_new(request: HttpRequest) -> HttpResponse:
    form = ApartForm(request.POST)
    if not form.is_valid():
        return _show_rules(request, apart=form)
    one, other = sorted((form.cleaned_data["one"].pk, form.cleaned_data["other"].pk))
    KeptApart.objects.get_or_create(one_id=one, other_id=other)
    messages.success(request, "They are not put on the same clinic in a proposal.")
    return redirect("asking-rules")


@require_POST
@may("cover_clinics")
def apart_end(request: HttpRequest, pk: int) -> HttpResponse:
    KeptApart.objects.filter(pk=pk).delete()
    messages.success(request, "They may be on the same clinic again.")
    return redirect("asking-rules")


@require_safe
@may("cover_clinics")
def load(request: HttpRequest) -> HttpResponse:
    page = Paginator(load_lines(clock.now()), PER_PAGE).get_page(request.GET.get("page"))
    context = {"here": "cover", "today": clock.today(), "page": page}
    return render(request, "shifts/load.html", context)


@require_safe
@may("cover_clinics")
def load_csv(_request: HttpRequest) -> HttpResponse:
    head = ("volunteer", "shifts", "hours", "km", "open questions", "declined", "last asked", "last said yes")
    rows = [
        (
            line.volunteer.name,
            line.shifts,
            round(line.hours, 2),
            round(line.km),
            line.open,
            line.declined,
            line.last_asked and line.last_asked.date(),
            line.last_accepted and line.last_accepted.date(),
        )
        for line in load_lines(clock.now())
    ]
    return csv_answer(f"load-{clock.today()}.csv", head, rows)


@require_POST
@may("cover_clinics")
def stand_by(request: HttpRequest, pk: int) -> HttpResponse:
    shift = get_object_or_404(Shift, pk=pk)
    person = chosen(request, Volunteer.objects.active())
    if person is None:
        messages.error(request, "Choose one of the people in the list.")
        return redirect("shift-who", pk)
    try:
        put_on_standby(shift=shift, volunteer=person, now=clock.now())
        messages.success(request, f"{person} stands by and is being told.")
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("shift-who", pk)


@require_POST
@may("cover_clinics")
def stand_by_end(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Standby.objects.select_related("volunteer"), pk=pk)
    take_off_standby(standby=row)
    messages.success(request, f"{row.volunteer} no longer stands by.")
    return redirect("clinic", row.clinic_id)


@require_POST
@may("cover_clinics")
def swap_settle(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Swap.objects.select_related("assignment__shift"), pk=pk)
    try:
        done = settle_swap(swap=row, agree=request.POST.get("answer") == "yes", by=account(request), now=clock.now())
        messages.success(request, f"The swap is {done.get_state_display()}.")
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic", row.assignment.shift.clinic_id)
