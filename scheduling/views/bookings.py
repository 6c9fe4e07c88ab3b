"""Booking a clinic, its staffing needs, repeating it."""

from collections import Counter
from dataclasses import replace
from datetime import date
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods, require_POST

from clinics.formatting import clinic_words
from clinics.models import Center, Clinic
from core import clock
from core.access import may
from core.parsing import row_named
from core.refusal import Refusal
from kits.queries.condition import kit_warnings
from scheduling.forms.bookings import ClinicForm, NeedsForm, RepeatForm
from scheduling.models import Booking
from scheduling.rules.series import SeriesError
from scheduling.services import bookings
from scheduling.services.clinic_facts import facts_of
from scheduling.services.effects import Effects
from scheduling.services.hold_and_ask import fingerprint
from scheduling.services.series import book_series, look_at_series
from scheduling.words.series import series_problem
from shifts.queries.shift_needs import needed_by_tables, needed_for, shift_count
from shifts.services.shifts import difference_since, set_hand_needs


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def clinic_new(request: HttpRequest) -> HttpResponse:
    initial: dict[str, Any] = {"ratio_table": settings.DEFAULT_RATIO_TABLE}
    known = row_named(Center.objects.prefetch_related("spaces"), request.GET.get("center", ""))
    if known is not None:
        spaces = list(known.spaces.all())
        initial |= {"center": known.pk, "space": spaces[0].pk if len(spaces) == 1 else None}
    form = ClinicForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            clinic = bookings.book_clinic(facts=form.facts(), now=clock.now())
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            contact = clinic.center.booking_contact.name
            said = gettext("%(clinic)s is reserved. We’re emailing %(contact)s to ask for the space.")
            messages.success(request, said % {"clinic": clinic_words(clinic), "contact": contact})
            tell_kit(request, clinic)
            return redirect("clinic", clinic.pk)
    return form_page(request, form, gettext("Book a clinic"))


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def clinic_needs(request: HttpRequest, pk: int) -> HttpResponse:
    """How many people of each duty, by hand, never fewer than the tables ask."""
    rows = Clinic.objects.select_related("center").prefetch_related("bands", "hand_needs")
    clinic = get_object_or_404(rows, pk=pk)
    least, now_asked = needed_by_tables(clinic), needed_for(clinic)
    form = NeedsForm(request.POST if request.method == "POST" else None, least=least, now_asked=now_asked)
    if request.method == "POST" and form.is_valid():
        before = shift_count(clinic)
        try:
            set_hand_needs(clinic=clinic, people=form.people())
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            messages.success(request, gettext("Staffing needs saved."))
            tell_difference(request, clinic, before)
            return redirect("clinic", pk)
    context = {"here": "clinics", "form": form, "clinic": clinic, "today": clock.today()}
    return render(request, "scheduling/clinic_needs.html", context, status=422 if form.errors else 200)


def tell_kit(request: HttpRequest, clinic: Clinic) -> None:
    for sentence in kit_warnings(clinic):
        messages.warning(request, sentence)


def tell_difference(request: HttpRequest, clinic: Clinic, before: Counter[str]) -> None:
    words = difference_since(clinic, before).words()
    if words:
        messages.warning(request, f"{words[0].upper()}{words[1:]}.")


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def clinic_repeat(request: HttpRequest, pk: int) -> HttpResponse:
    """First every date with what stands against it; then, with the same words sent again, the free ones are booked."""
    clinic = get_object_or_404(Clinic.objects.select_related("center").prefetch_related("bands"), pk=pk)
    form = RepeatForm(request.POST if request.method == "POST" else None)
    dates = None
    free: list[date] = []
    held = ""
    news = False
    if request.method == "POST" and form.is_valid():
        try:
            dates = look_at_series(clinic=clinic, days=form.days(clinic.day), now=clock.now())
            free = [one.day for one in dates if one.refusal is None]
            seen = request.POST.get("confirmed", "")
            like = facts_of(clinic)
            held = fingerprint([replace(like, day=day) for day in free])
            news = bool(seen and free) and seen != held
            if seen and not news:
                made = book_series(clinic=clinic, days=free, now=clock.now())
                who = clinic.center.booking_contact.name
                messages.success(request, reserved(len(made), who))
                return redirect("clinics")
        except Refusal as refusal:
            refusal.show_on(form)
        except SeriesError as problem:
            form.add_error(None, series_problem(problem.code))
    context = {
        "here": "clinics",
        "clinic": clinic,
        "form": form,
        "dates": dates,
        "free": len(free),
        "seen": held,
        "news": news,
        "today": clock.today(clinic.center.tz),
    }
    return render(request, "scheduling/clinic_repeat.html", context, status=422 if form.errors else 200)


@require_POST
@may("book_clinics")
def ask_again(request: HttpRequest, pk: int) -> HttpResponse:
    booking = get_object_or_404(Booking.objects.select_related("clinic__center"), pk=pk)
    try:
        bookings.ask_center_again(booking=booking, now=clock.now())
        said = gettext("We’re emailing %(name)s again with a new link.")
        messages.success(request, said % {"name": booking.clinic.center.booking_contact.name})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic", booking.clinic_id)


def reserved(number: int, contact: str) -> str:
    """Say that so many clinics are reserved and asked for in one email."""
    return ngettext(
        "%(n)d clinic is reserved. We’re sending %(contact)s one email about it.",
        "%(n)d clinics are reserved. We’re sending %(contact)s one email about all of them.",
        number,
    ) % {"n": number, "contact": contact}


def form_page(
    request: HttpRequest,
    form: ClinicForm,
    title: str,
    clinic: Clinic | None = None,
    effects: Effects | None = None,
    news: bool = False,
) -> HttpResponse:
    """The booking form; with ``effects`` first what sending it once more would do, ``news`` when that has changed."""
    context = {
        "here": "clinics",
        "form": form,
        "heading": title,
        "clinic": clinic,
        "has_space": form.has_space,
        "effects": effects,
        "news": news,
    }
    return render(request, "scheduling/clinic_form.html", context, status=422 if form.errors else 200)
