"""When a center is open to us."""

from collections.abc import Collection
from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from clinics.forms.hours import ClosedForm, HoursForm
from clinics.models import Center, ClosedDays
from clinics.rules.closed_days import MOST_BYTES, read_closed_days
from clinics.services.hours import (
    add_closed_days,
    clinics_on_closed_days,
    public_holidays,
    set_hours,
)
from core import clock
from core.access import may
from core.actions import action_of
from core.formats import long_day
from core.refusal import Refusal

# What a page says one by one; the rest is counted.
MOST_NAMED = 5


def _show(
    request: HttpRequest,
    center: Center,
    *,
    hours: HoursForm | None = None,
    closed: ClosedForm | None = None,
    ticked: Collection[date] = (),
    refused: Refusal | None = None,
) -> HttpResponse:
    """The page as it is, or with a form as it was typed and why it was refused; ``ticked`` are holidays."""
    hours, closed = hours or HoursForm(center=center), closed or ClosedForm()
    today = clock.today(center.tz)
    rows = ClosedDays.objects.filter(center=center, last_day__gte=today)
    taken = {row.first_day for row in rows if row.first_day == row.last_day}
    context = {
        "here": "centers",
        "center": center,
        "hours": hours,
        "closed": closed,
        "rows": rows,
        "offered": [(day, name, day in ticked) for day, name in public_holidays(today) if day not in taken],
        "refused": refused,
        "today": today,
    }
    status = 422 if hours.errors or closed.errors or refused else 200
    return render(request, "clinics/center_hours.html", context, status=status)


@require_safe
@may("keep_centers")
def center_hours(request: HttpRequest, pk: int) -> HttpResponse:
    return _show(request, get_object_or_404(Center, pk=pk))


@may("keep_centers")
@action_of("center-hours", "pk")
def hours_save(request: HttpRequest, pk: int) -> HttpResponse:
    center = get_object_or_404(Center, pk=pk)
    form = HoursForm(request.POST, center=center)
    if form.is_valid():
        try:
            set_hours(center=center, hours=form.hours())
            messages.success(request, "The opening hours are saved.")
            return redirect("center-hours", pk)
        except Refusal as refusal:
            refusal.show_on(form)
    return _show(request, center, hours=form)


@may("keep_centers")
@action_of("center-hours", "pk")
def closed_add(request: HttpRequest, pk: int) -> HttpResponse:
    center = get_object_or_404(Center, pk=pk)
    form = ClosedForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            _close(request, center, form, clock.today(center.tz))
            return redirect("center-hours", pk)
        except Refusal as refusal:
            refusal.show_on(form)
        except ValueError as problem:
            form.add_error("file", str(problem))
    return _show(request, center, closed=form)


@may("keep_centers")
@action_of("center-hours", "pk")
def holidays_add(request: HttpRequest, pk: int) -> HttpResponse:
    center = get_object_or_404(Center, pk=pk)
    today, chosen = clock.today(center.tz), set(request.POST.getlist("day"))
    days = [(day, day, name) for day, name in public_holidays(today) if day.isoformat() in chosen]
    try:
        count = add_closed_days(center=center, days=days, today=today)
    except Refusal as refusal:
        return _show(request, center, ticked={day for day, _, _ in days}, refused=refusal)
    _tell_clinics(request, center, days)
    messages.success(request, f"{count} closed day{'s are' if count != 1 else ' is'} added.")
    return redirect("center-hours", pk)


def _close(request: HttpRequest, center: Center, form: ClosedForm, today: date) -> None:
    """Days that were typed, those of a file, or both."""
    file = form.cleaned_data["file"]
    typed = [form.stretch()] if form.cleaned_data["first_day"] else []
    if file is None:
        add_closed_days(center=center, days=typed, today=today)
        messages.success(request, "The closed days are added.")
        _tell_clinics(request, center, typed)
        return
    found = read_closed_days(file.read(MOST_BYTES + 1), today)
    count = add_closed_days(center=center, days=[*typed, *found.days], today=today)
    source = "those typed and the file" if typed else "the file"
    messages.success(request, f"{count} closed stretch{'es are' if count != 1 else ' is'} added from {source}.")
    for words in found.left_out[:MOST_NAMED]:
        messages.warning(request, words)
    more = len(found.left_out) - MOST_NAMED
    if more > 0:
        messages.warning(request, f"{more} more event{'s' if more > 1 else ''} of the file {_are(more)} not taken.")
    _tell_clinics(request, center, [*typed, *found.days])


def _tell_clinics(request: HttpRequest, center: Center, days: list[tuple[date, date, str]]) -> None:
    booked = clinics_on_closed_days(center, days, clock.now())
    for clinic in booked[:MOST_NAMED]:
        on = long_day(clinic.day)
        messages.warning(request, f"A clinic is booked here on {on}, and stays booked: move it, or ask the center.")
    more = len(booked) - MOST_NAMED
    if more > 0:
        messages.warning(request, f"{more} more clinic{'s' if more > 1 else ''} {_are(more)} booked on closed days.")


def _are(count: int) -> str:
    return "are" if count > 1 else "is"


@require_POST
@may("keep_centers")
def closed_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ClosedDays, pk=pk)
    row.delete()
    messages.success(request, "It is open again on those days.")
    return redirect("center-hours", row.center_id)
