"""Pages by signed link: no account, one question each. A GET shows the question; only a POST answers it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from config import clock, links
from config.link_pages import link_problem, subject_of
from config.look import render_at
from config.refusal import Refusal
from people.queries.standing import open_book
from people.rules.standing_words import why_not
from scheduling.forms.bookings import BookingAnswerForm
from scheduling.models import BE_THERE_BEFORE, Answer, Assignment, Booking, Reply
from scheduling.queries.conflicts import closed_words
from scheduling.queries.link_pages import lead_name, shift_questions
from scheduling.services.bookings import answer_booking
from scheduling.services.cover import record_reply
from scheduling.services.floor.phones import OPEN_BEFORE, floor_address, wipe_at
from scheduling.words import children_words

__all__ = ["booking_answer", "shift_context", "shift_reply"]


@require_http_methods(["GET", "HEAD", "POST"])
def shift_reply(request: HttpRequest, token: str) -> HttpResponse:
    now = clock.now()
    try:
        row = subject_of(request, "shift", token, shift_questions(), "This shift is no longer in our books.")
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    refusal = None
    if request.method == "POST":
        answer = {"yes": Reply.ACCEPTED, "no": Reply.DECLINED}.get(request.POST.get("answer", ""), "")
        try:
            record_reply(assignment=row, reply=answer, by=f"{row.volunteer}, by link", now=now)
            return redirect("shift-reply", token)
        except Refusal as refused:
            refusal = refused
            row = shift_questions().filter(pk=row.pk).first() or row
    return render_at(
        row.shift.clinic.center.tz,
        request,
        "scheduling/shift_reply.html",
        shift_context(row, now) | {"refusal": refusal, "token": token},
        status=409 if refusal else 200,
    )


def shift_context(row: Assignment, now: Any) -> dict[str, Any]:
    clinic = row.shift.clinic
    book = open_book([row.volunteer_id])
    standing = book.on(row.volunteer_id, row.shift.duty, clinic.day, clinic.center.place)
    return {
        "row": row,
        "clinic": clinic,
        "center": clinic.center,
        "today": clock.today(clinic.center.tz),
        "be_there": (clinic.starts_at - BE_THERE_BEFORE).astimezone(clinic.center.tz),
        "children": children_words(clinic),
        "lead": lead_name(clinic),
        "standing": standing,
        "why_not": why_not(standing, book.kind_names, clinic.day, clock.today(clinic.center.tz)),
        "begun": clinic.starts_at <= now,
        "floor": floor_address(row) if clinic.starts_at - OPEN_BEFORE <= now < wipe_at(clinic) else "",
    }


@require_http_methods(["GET", "HEAD", "POST"])
def booking_answer(request: HttpRequest, token: str) -> HttpResponse:
    now = clock.now()
    try:
        rows = Booking.objects.select_related("clinic__center", "space")
        booking = subject_of(request, "booking", token, rows, "This booking is no longer in our books.")
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
