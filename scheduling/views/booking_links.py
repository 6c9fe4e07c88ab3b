"""The page by signed link about one booking: no account, one question. A GET shows it; only a POST answers it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from clinics.formatting import children_words
from core import clock, links
from core.link_pages import link_problem, subject_of
from core.refusal import Refusal
from core.theme import render_at
from scheduling.forms.bookings import BookingAnswerForm
from scheduling.models import Answer, Booking
from scheduling.queries.conflicts import closed_words
from scheduling.services.bookings import answer_booking

__all__ = ["booking_answer"]


@require_http_methods(["GET", "HEAD", "POST"])
def booking_answer(request: HttpRequest, token: str) -> HttpResponse:
    now = clock.now()
    try:
        rows = Booking.objects.select_related("clinic__center", "space")
        booking = subject_of(request, "booking", token, rows, gettext("This booking is no longer on file."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    form = BookingAnswerForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            answer_booking(
                booking=booking,
                answer=data["answer"],
                words=data["words"],
                suggested=form.suggested(),
                now=now,
            )
            return redirect("booking-answer", token)
        except Refusal as refusal:
            refusal.show_on(form)
            booking.refresh_from_db()
    clinic = booking.clinic
    return render_at(
        clinic.center.tz,
        request,
        "scheduling/booking_answer.html",
        {
            "booking": booking,
            "clinic": clinic,
            "center": clinic.center,
            "today": clock.today(clinic.center.tz),
            "children": children_words(clinic),
            "held_from": booking.period.lower.astimezone(clinic.center.tz),
            "held_until": booking.period.upper.astimezone(clinic.center.tz),
            "closed": closed_words(booking),
            "suggested_start": booking.suggested_start and booking.suggested_start.astimezone(clinic.center.tz),
            "suggested_end": booking.suggested_end and booking.suggested_end.astimezone(clinic.center.tz),
            "form": form,
            "token": token,
            "answers": Answer,
        },
        status=422 if form.errors else 200,
    )
