"""When a center is open to us."""

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from clinics.forms.hours import ClosedForm, HoursForm
from clinics.models import Center, ClosedDays
from clinics.rules.closed_days import MOST_BYTES, read_closed_days
from clinics.services.hours import add_closed_days, clinics_on_closed_days, public_holidays, set_hours
from config import clock
from config.access import may
from config.refusal import Refusal


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
            count = add_closed_days(center=center, days=days)
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
    file = form.cleaned_data["file"]
    if file is None:
        add_closed_days(center=center, days=[form.stretch()])
        messages.success(request, "The closed days are added.")
        _tell_clinics(request, center, [form.stretch()])
        return
    found = read_closed_days(file.read(MOST_BYTES + 1), today)
    count = add_closed_days(center=center, days=found.days)
    messages.success(request, f"{count} closed stretch{'es are' if count != 1 else ' is'} added from the file.")
    for words in found.left_out[:5]:
        messages.warning(request, words)
    _tell_clinics(request, center, found.days)


def _tell_clinics(request: HttpRequest, center: Center, days: list[tuple[date, date, str]]) -> None:
    for clinic in clinics_on_closed_days(center, days, clock.now())[:5]:
        on = f"{clinic.day:%A} {clinic.day.day} {clinic.day:%B}"
        messages.warning(request, f"A clinic is booked here on {on}, and stays booked: move it, or ask the center.")


@require_POST
@may("keep_centers")
def closed_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ClosedDays, pk=pk)
    row.delete()
    messages.success(request, "It is open again on those days.")
    return redirect("center-hours", row.center_id)
