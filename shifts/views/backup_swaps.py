"""Rules for asking volunteers, who is kept apart, backups, swaps to approve, and hours by volunteer."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from core import clock
from core.access import may
from core.actions import action_of
from core.csv_out import csv_answer
from core.refusal import Refusal
from outbox.rules.due_times import QUIET
from people.access import account
from people.models import Volunteer
from shifts.forms.asking_rules import ApartForm, AskingRulesForm
from shifts.models import AskingRules, Backup, KeptApart, Shift, Swap
from shifts.queries.load import load_lines
from shifts.services.backup import end_backup, make_backup
from shifts.services.swaps import settle_swap
from shifts.views.cover import chosen

PER_PAGE = 100


def _show_rules(
    request: HttpRequest, *, form: AskingRulesForm | None = None, apart: ApartForm | None = None
) -> HttpResponse:
    """The page as it is, or with a form as it was typed and why it was refused."""
    form, apart = form or AskingRulesForm(instance=AskingRules.current()), apart or ApartForm()
    pairs = KeptApart.objects.select_related("one", "other")
    context = {"here": "cover", "form": form, "apart": apart, "pairs": pairs, "quiet": QUIET}
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
    messages.success(request, gettext("Saved. The new rules apply to the next request."))
    return redirect("asking-rules")


@may("cover_clinics")
@action_of("asking-rules")
def apart_new(request: HttpRequest) -> HttpResponse:
    form = ApartForm(request.POST)
    if not form.is_valid():
        return _show_rules(request, apart=form)
    one, other = sorted((form.cleaned_data["one"].pk, form.cleaned_data["other"].pk))
    KeptApart.objects.get_or_create(one_id=one, other_id=other)
    messages.success(request, gettext("They won’t be suggested for the same clinic."))
    return redirect("asking-rules")


@require_POST
@may("cover_clinics")
def apart_end(request: HttpRequest, pk: int) -> HttpResponse:
    KeptApart.objects.filter(pk=pk).delete()
    messages.success(request, gettext("They can be suggested for the same clinic again."))
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
    head = (
        gettext("volunteer"),
        gettext("shifts"),
        gettext("hours"),
        gettext("km"),
        gettext("awaiting answer"),
        gettext("times declined"),
        gettext("last asked"),
        gettext("last accepted"),
    )
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
def backup(request: HttpRequest, pk: int) -> HttpResponse:
    shift = get_object_or_404(Shift, pk=pk)
    person = chosen(request, Volunteer.objects.active())
    if person is None:
        messages.error(request, gettext("Choose someone in the list."))
        return redirect("shift-who", pk)
    try:
        make_backup(shift=shift, volunteer=person, now=clock.now())
        text = gettext("%(name)s is now a backup. We’re emailing them.") % {"name": person}
        messages.success(request, text)
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("shift-who", pk)


@require_POST
@may("cover_clinics")
def backup_end(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Backup.objects.select_related("volunteer"), pk=pk)
    end_backup(backup=row)
    messages.success(request, gettext("%(name)s is no longer a backup.") % {"name": row.volunteer})
    return redirect("clinic", row.clinic_id)


@require_POST
@may("cover_clinics")
def swap_settle(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Swap.objects.select_related("assignment__shift", "assignment__volunteer"), pk=pk)
    try:
        agree = request.POST.get("answer") == "yes"
        settle_swap(swap=row, agree=agree, by=account(request), now=clock.now())
        said = (
            gettext("Swap approved. We’re emailing %(name)s.")
            if agree
            else gettext("Swap declined. We’re emailing %(name)s.")
        )
        messages.success(request, said % {"name": row.assignment.volunteer})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic", row.assignment.shift.clinic_id)
