"""The page by signed link about one shift: no account, one question. A GET shows it; only a POST answers it."""

from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from clinics.formatting import children_words
from clinics.models import BE_THERE_BEFORE
from core import clock, links
from core.link_pages import link_problem, subject_of
from core.refusal import Refusal
from core.theme import render_at
from people.queries.standing import open_book
from people.words.standing import why_not
from shifts.hooks import floor_page_of
from shifts.models import Assignment, Reply
from shifts.queries.link_pages import lead_name, shift_questions
from shifts.services.cover import record_reply

__all__ = ["shift_context", "shift_reply"]


@require_http_methods(["GET", "HEAD", "POST"])
def shift_reply(request: HttpRequest, token: str) -> HttpResponse:
    now = clock.now()
    try:
        row = subject_of(request, "shift", token, shift_questions(), gettext("This shift is no longer on file."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    refusal = None
    if request.method == "POST":
        answer = {"yes": Reply.ACCEPTED, "no": Reply.DECLINED}.get(request.POST.get("answer", ""), "")
        try:
            record_reply(
                assignment=row, reply=answer, by=gettext("%(name)s, by link") % {"name": row.volunteer}, now=now
            )
            return redirect("shift-reply", token)
        except Refusal as refused:
            refusal = refused
            row = shift_questions().filter(pk=row.pk).first() or row
    return render_at(
        row.shift.clinic.center.tz,
        request,
        "shifts/shift_reply.html",
        shift_context(row, now) | {"refusal": refusal, "token": token},
        status=409 if refusal else 200,
    )


def shift_context(row: Assignment, now: datetime) -> dict[str, Any]:
    clinic = row.shift.clinic
    floor = floor_page_of(row)
    book = open_book([row.volunteer_id])
    standing = book.on(row.volunteer_id, row.shift.duty_id, clinic.day, clinic.center.place)
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
        "floor": floor.address if floor is not None and floor.opens_at <= now < floor.closes_at else "",
    }
