"""Asking a center for several dates, and the page on which it answers each."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from clinics.formatting import children_words
from core import clock, links
from core.access import may
from core.link_pages import link_problem, subject_of
from core.parsing import row_number
from core.refusal import Refusal
from core.theme import render_at
from scheduling.forms.bookings import BookingAnswerForm
from scheduling.forms.multi_date import MultiDateForm
from scheduling.models import SET_UP, TAKE_DOWN, Booking, BookingRequest
from scheduling.queries.asked_days import asked_days
from scheduling.queries.conflicts import closed_at_our_records, closed_words
from scheduling.services.bookings import answer_booking, check_suggestion
from scheduling.services.clinic_facts import ClinicFacts
from scheduling.services.hold_and_ask import fingerprint
from scheduling.services.multi_date import AskedDate, ask_dates, look_at_dates
from scheduling.views.bookings import reserved


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def multi_date_new(request: HttpRequest) -> HttpResponse:
    """First every date with what stands against it; then, sent again, the free ones are held and asked for."""
    posted = request.method == "POST"
    form = MultiDateForm(request.POST if posted else None, initial={"ratio_table": settings.DEFAULT_RATIO_TABLE})
    looked: list[AskedDate] | None = None
    free: list[ClinicFacts] = []
    news = False
    if posted and form.is_valid():
        dates, now = form.dates(), clock.now()
        looked = look_at_dates(dates=[facts for _, facts in dates], now=now)
        free = [one.facts for one in looked if one.refusal is None]
        seen = request.POST.get("confirmed", "")
        news = bool(seen) and seen != fingerprint(free)
        if free and seen == fingerprint(free):
            try:
                made = ask_dates(dates=free, now=now)
                who = made[0].center.booking_contact.name
                messages.success(request, reserved(len(made), who))
                return redirect("clinics")
            except Refusal as refusal:
                # Somebody was faster since the look a moment ago.
                for reason in refusal.reasons:
                    form.add_error(None, reason.text)
    context = {
        "here": "clinics",
        "form": form,
        "has_space": form.has_space,
        "looked": looked,
        "free": len(free),
        "seen": fingerprint(free),
        "news": news,
        "today": clock.today(),
    }
    return render(request, "scheduling/multi_date.html", context, status=422 if form.errors else 200)


def _booking_request(request: HttpRequest, token: str) -> BookingRequest:
    gone = gettext("This request is no longer on file.")
    return subject_of(request, "booking_request", token, BookingRequest.objects.select_related("center"), gone)


@require_http_methods(["GET", "HEAD", "POST"])
def booking_request(request: HttpRequest, token: str) -> HttpResponse:
    """Every day of one question, each answered by itself. A GET answers nothing."""
    try:
        booking_request = _booking_request(request, token)
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    now = clock.now()
    rows = list(asked_days(booking_request, now))
    forms = {row.pk: BookingAnswerForm(prefix=f"d{row.pk}") for row in rows}
    wrong: int | None = None
    if request.method == "POST":
        number = request.POST.get("booking", "")
        row = next((one for one in rows if str(one.pk) == number), None)
        if row is None:
            return redirect("booking-request", token)
        form = forms[row.pk] = BookingAnswerForm(request.POST, prefix=f"d{row.pk}")
        # Without the number of the question nothing is answered: a page from before a change shows another hour.
        asked = row_number(request.POST.get("asked", ""))
        if form.is_valid() and _answered(row, form, now, -1 if asked is None else asked):
            return redirect(f"{request.path}#day-{row.pk}")
        wrong = row.pk
        row.refresh_from_db()
    context = {
        "booking_request": booking_request,
        "center": booking_request.center,
        "contact": booking_request.center.booking_contact,
        "token": token,
        "days": [_day(row, forms[row.pk], row.pk == wrong) for row in rows],
        "waiting": sum(not row.answer and row.status == "tentative" for row in rows),
        "today": clock.today(booking_request.center.tz),
    }
    return render_at(
        booking_request.center.tz, request, "scheduling/booking_request.html", context, 422 if wrong else 200
    )


def _answered(row: Booking, form: BookingAnswerForm, now: datetime, asked: int) -> bool:
    data = form.cleaned_data
    try:
        answer_booking(
            booking=row,
            answer=data["answer"],
            words=data["words"],
            suggested=form.suggested(),
            now=now,
            asked=asked,
        )
    except Refusal as refusal:
        refusal.show_on(form)
        return False
    return True


def _day(row: Booking, form: BookingAnswerForm, wrong: bool) -> dict[str, Any]:
    tz = row.clinic.center.tz
    return {
        "booking": row,
        "clinic": row.clinic,
        "form": form,
        "wrong": wrong,
        "children": children_words(row.clinic),
        "held_from": row.period.lower.astimezone(tz),
        "held_until": row.period.upper.astimezone(tz),
        "suggested_start": row.suggested_start and row.suggested_start.astimezone(tz),
        "closed": closed_words(row),
        "suggested_end": row.suggested_end and row.suggested_end.astimezone(tz),
        "open": not row.answer and row.status == "tentative",
    }


@require_safe
def booking_request_check(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    """Part of a page: whether a time that is being typed would do. Writes nothing; sending it checks again."""
    try:
        booking_request = _booking_request(request, token)
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    row = asked_days(booking_request, clock.now()).filter(pk=pk).first()
    return _checked(request, row, f"d{pk}") if row is not None else HttpResponse("")


@require_safe
def booking_check(request: HttpRequest, token: str) -> HttpResponse:
    """The same for the page of a single day."""
    try:
        rows = Booking.objects.select_related("clinic__center", "space")
        row = subject_of(request, "booking", token, rows, gettext("This booking is no longer on file."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    return _checked(request, row, "")


def _checked(request: HttpRequest, row: Booking, prefix: str) -> HttpResponse:
    name = f"{prefix}-answer" if prefix else "answer"
    typed = request.GET.copy()
    typed[name] = "another time"
    form = BookingAnswerForm(typed, prefix=prefix or None)
    if not form.is_valid():
        return render(request, "scheduling/_checked.html", {"sentences": [], "ok": False})
    ok, sentences = True, []
    try:
        start, end = check_suggestion(row, form.suggested(), clock.now())
        closed = closed_at_our_records(row.clinic.center, start - SET_UP, end + TAKE_DOWN)
        sentences = [closed or gettext("That time works for us.")]
        ok = not closed
    except Refusal as refusal:
        ok, sentences = False, [reason.text for reason in refusal.reasons]
    return render(request, "scheduling/_checked.html", {"sentences": sentences, "ok": ok})
