"""When a center is open to us."""

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

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
from core.refusal import Refusal

# What a page says one by one; the rest is counted.
MOST_NAMED = 5


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def center_hours(request: HttpRequest, pk: int) -> HttpResponse:
    center = get_object_or_404(Center, pk=pk)
    today = clock.today(center.tz)
    asked = request.POST.get("ask", "") if request.method == "POST" else ""
    hours = HoursForm(request.POST if asked == "hours" else None, center=center)
    closed = ClosedForm(*((request.POST, request.FILES) if asked == "closed" else ()))
    try:
        if asked == "hours" and hours.is_valid():
            set_hours(center=center, hours=hours.hours())
            messages.success(request, "The opening hours are saved.")
            return redirect("center-hours", pk)
        if asked == "closed" and closed.is_valid():
            _close(request, center, closed, today)
            return redirect("center-hours", pk)
        if asked == "holidays":
            chosen = set(request.POST.getlist("day"))
            days = [(day, day, name) for day, name in public_holidays(today) if day.isoformat() in chosen]
            count = add_closed_days(center=center, days=days, today=today)
            _tell_clinics(request, center, days)
            messages.success(request, f"{count} closed day{'s are' if count != 1 else ' is'} added.")
            return redirect("center-hours", pk)
    except Refusal as refusal:
        refusal.show_on(hours if asked == "hours" else closed)
    except ValueError as problem:
        closed.add_error("file", str(problem))
    rows = ClosedDays.objects.filter(center=center, last_day__gte=today)
    taken = {row.first_day for row in rows if row.first_day == row.last_day}
    context = {
        "here": "centers",
        "center": center,
        "hours": hours,
        "closed": closed,
        "rows": rows,
        "offered": [(day, name) for day, name in public_holidays(today) if day not in taken],
        "today": today,
    }
    status = 422 if hours.errors or closed.errors else 200
    return render(request, "clinics/center_hours.html", context, status=status)


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
        on = f"{clinic.day:%A} {clinic.day.day} {clinic.day:%B}"
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
