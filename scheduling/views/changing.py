"""Changing a clinic and calling it off: first what it would do to everybody, then the doing."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core import clock
from core.access import may
from core.formats import clock_time
from core.refusal import Refusal
from core.theme import render_at
from scheduling.forms.bookings import CancelForm, ClinicForm, clinic_initial
from scheduling.models import Booking
from scheduling.queries.conflicts import closed_words
from scheduling.services import bookings
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic, change_rest
from scheduling.services.effects import Effects, carry_out, effects_of
from scheduling.services.series import cancel_rest, rest_of
from scheduling.views.bookings import form_page, tell_difference, tell_kit
from shifts.queries.shift_needs import shift_count


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def clinic_change(request: HttpRequest, pk: int) -> HttpResponse:
    """A first sending shows what it would do; a second one, carrying the fingerprint of that, does it.

    When the world has changed in between, the second sending shows the new effects instead.
    """
    clinic = get_object_or_404(Clinic.objects.select_related("center").prefetch_related("bands"), pk=pk)
    posted = request.method == "POST"
    form = ClinicForm(request.POST if posted else None, initial=clinic_initial(clinic), clinic=clinic)
    effects: Effects | None = None
    news = False
    if posted and form.is_valid():
        before, now = shift_count(clinic), clock.now()
        rest = bool(form.cleaned_data.get("rest"))
        facts = form.facts()

        def act() -> object:
            if rest:
                return change_rest(clinic=clinic, facts=facts, now=now)
            return change_clinic(clinic=clinic, facts=facts, now=now)

        try:
            rows, seen = rest_of(clinic, now) if rest else [clinic], request.POST.get("seen", "")
            if "again" in request.POST:
                effects, done = effects_of(act, rows), False
            else:
                effects, done = carry_out(act, rows, seen)
            news = bool(seen) and not done
            if done:
                clinic.refresh_from_db()
                told = (
                    gettext("Clinic saved.")
                    if effects.quiet
                    else gettext("Clinic saved. We’re emailing everyone affected.")
                )
                messages.success(request, told)
                tell_kit(request, clinic)
                tell_difference(request, clinic, before)
                return redirect("clinic", pk)
        except Refusal as refusal:
            effects = None
            refusal.show_on(form)
    return form_page(
        request, form, gettext("Edit %(clinic)s") % {"clinic": clinic_words(clinic)}, clinic, effects, news
    )


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def clinic_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=pk)
    now = clock.now()
    rest = rest_of(clinic, now)
    form = CancelForm(request.POST if request.method == "POST" else None, in_row=len(rest) > 1)
    news = False
    if request.method == "POST" and form.is_valid():
        because = form.cleaned_data["because"]
        with_rest = bool(form.cleaned_data.get("rest"))

        def act() -> object:
            call_off = cancel_rest if with_rest else cancel_clinic
            return call_off(clinic=clinic, because=because, now=now)

        try:
            seen = request.POST.get("seen_rest" if with_rest else "seen", "")
            _, done = carry_out(act, rest if with_rest else [clinic], seen)
            if done:
                said = gettext("%(clinic)s is cancelled. We’re emailing everyone who was asked.")
                messages.success(request, said % {"clinic": clinic_words(clinic)})
                return redirect("clinic", pk)
            news = True
        except Refusal as refusal:
            refusal.show_on(form)
    effects = of_rest = None
    if clinic.live and clinic.ends_at > now:
        effects = effects_of(lambda: cancel_clinic(clinic=clinic, because="-", now=now), [clinic])
        if len(rest) > 1:
            of_rest = effects_of(lambda: cancel_rest(clinic=clinic, because="-", now=now), rest)
    context = {
        "here": "clinics",
        "clinic": clinic,
        "form": form,
        "effects": effects,
        "news": news,
        "of_rest": of_rest,
        "today": clock.today(),
    }
    status = 422 if form.errors else 200
    return render_at(clinic.center.tz, request, "scheduling/clinic_cancel.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def take_suggestion(request: HttpRequest, pk: int) -> HttpResponse:
    """First what moving to the time that the center named would do; sent with the fingerprint of that, it is done."""
    booking = get_object_or_404(Booking.objects.select_related("clinic__center", "space"), pk=pk)
    clinic, now = booking.clinic, clock.now()

    def act() -> object:
        return bookings.take_suggestion(booking=booking, now=now)

    try:
        if request.method == "POST":
            effects, done = carry_out(act, [clinic], request.POST.get("seen", ""))
            if done:
                clinic.refresh_from_db()
                said = gettext("The clinic is now %(clinic)s at %(hour)s. We’re emailing everyone affected.")
                facts = {"clinic": clinic_words(clinic), "hour": clock_time(clinic.local_start)}
                messages.success(request, said % facts)
                tell_kit(request, clinic)
                return redirect("clinic", clinic.pk)
        else:
            effects = effects_of(act, [clinic])
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect("clinic", clinic.pk)
    context = {
        "here": "clinics",
        "booking": booking,
        "clinic": clinic,
        "closed": closed_words(booking),
        "effects": effects,
        "news": request.method == "POST" and bool(request.POST.get("seen")),
    }
    return render_at(clinic.center.tz, request, "scheduling/take_suggestion.html", context)
