"""When a center is open to us."""

from collections.abc import Collection
from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, ngettext
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
from clinics.words.files import file_words, skipped_words
from core import clock
from core.access import may
from core.actions import action_of
from core.formats import long_day
from core.refusal import Refusal
from core.rules.refused import Refused

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
            messages.success(request, gettext("Hours saved."))
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
        except Refused as problem:
            form.add_error("file", file_words(problem))
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
    done = ngettext("%(n)d closed day added.", "%(n)d closed days added.", count)
    messages.success(request, done % {"n": count})
    return redirect("center-hours", pk)


def _close(request: HttpRequest, center: Center, form: ClosedForm, today: date) -> None:
    """Days that were typed, those of a file, or both."""
    file = form.cleaned_data["file"]
    typed = [form.stretch()] if form.cleaned_data["first_day"] else []
    if file is None:
        add_closed_days(center=center, days=typed, today=today)
        messages.success(request, gettext("Closed days added."))
        _tell_clinics(request, center, typed)
        return
    found = read_closed_days(file.read(MOST_BYTES + 1), today)
    count = add_closed_days(center=center, days=[*typed, *found.days], today=today)
    done = ngettext("%(n)d set of closed days added.", "%(n)d sets of closed days added.", count)
    messages.success(request, done % {"n": count})
    for reason in found.left_out[:MOST_NAMED]:
        messages.warning(request, skipped_words(reason))
    more = len(found.left_out) - MOST_NAMED
    if more > 0:
        skipped = ngettext(
            "%(n)d more event in the file was skipped.", "%(n)d more events in the file were skipped.", more
        )
        messages.warning(request, skipped % {"n": more})
    _tell_clinics(request, center, [*typed, *found.days])


def _tell_clinics(request: HttpRequest, center: Center, days: list[tuple[date, date, str]]) -> None:
    booked = clinics_on_closed_days(center, days, clock.now())
    for clinic in booked[:MOST_NAMED]:
        still = gettext("There’s still a clinic booked here on %(day)s. Move it, or ask the center.")
        messages.warning(request, still % {"day": long_day(clinic.day)})
    more = len(booked) - MOST_NAMED
    if more > 0:
        others = ngettext(
            "%(n)d more clinic is booked on closed days.", "%(n)d more clinics are booked on closed days.", more
        )
        messages.warning(request, others % {"n": more})


@require_POST
@may("keep_centers")
def closed_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ClosedDays, pk=pk)
    row.delete()
    messages.success(request, gettext("Closed days removed."))
    return redirect("center-hours", row.center_id)
