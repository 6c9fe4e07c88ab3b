"""Pages by link for standing by, being called, and taking a shift over. A GET asks; only a POST answers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from clinics.formatting import children_words
from clinics.models import BE_THERE_BEFORE, Clinic
from core import clock, links
from core.link_pages import link_problem, subject_of
from core.refusal import Refusal
from core.theme import render_at
from people.models import duties
from shifts.models import Standby, StandbyCall, Swap
from shifts.queries.link_pages import shift_questions
from shifts.services.standby import answer_call, take_off_standby
from shifts.services.swaps import answer_swap, offer_swap
from shifts.views.shift_links import shift_context


def _page(request: HttpRequest, clinic: Clinic, context: dict[str, str], refusal: Refusal | None) -> HttpResponse:
    facts: dict[str, object] = {
        "clinic": clinic,
        "center": clinic.center,
        "today": clock.today(clinic.center.tz),
        "be_there": (clinic.starts_at - BE_THERE_BEFORE).astimezone(clinic.center.tz),
        "children": children_words(clinic),
        "refusal": refusal,
    }
    status = 409 if refusal else 200
    return render_at(clinic.center.tz, request, "shifts/standby_swap_link.html", facts | context, status)


@require_http_methods(["GET", "HEAD", "POST"])
def standby(request: HttpRequest, token: str) -> HttpResponse:
    rows = Standby.objects.select_related("clinic__center", "volunteer").prefetch_related("clinic__bands")
    try:
        row = subject_of(request, "standby", token, rows, "You no longer stand by for this clinic.")
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    if request.method == "POST":
        take_off_standby(standby=row)
        return render(request, "shifts/standby_swap_thanks.html", {"words": "You no longer stand by. Thank you."})
    context = {
        "heading": "You stand by",
        "lede": f"Should somebody drop out as {duties().name(row.duty_id)}, we call you. There is nothing to do now.",
        "no": "I can’t stand by any more",
    }
    return _page(request, row.clinic, context, None)


@require_http_methods(["GET", "HEAD", "POST"])
def call(request: HttpRequest, token: str) -> HttpResponse:
    rows = StandbyCall.objects.select_related("shift__clinic__center", "volunteer")
    try:
        row = subject_of(request, "call", token, rows.prefetch_related("shift__clinic__bands"), "This call is over.")
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    refusal = None
    if request.method == "POST":
        try:
            row.answer = answer_call(call=row, yes=request.POST.get("answer") == "yes", now=clock.now()).answer
        except Refusal as problem:
            refusal = problem
    if row.answer:
        words = {
            "took it": "The shift is yours. Thank you for stepping in!",
            "too late": "Somebody else was a moment faster. Thank you for offering!",
            "no": "Thank you for answering.",
        }[row.answer]
        context = {"heading": words, "lede": "" if row.answer != "took it" else "We see you there."}
        return _page(request, row.shift.clinic, context, None)
    context = {
        "heading": f"Can you {row.shift.duty_ask}?",
        "lede": f"Hello {row.volunteer.given_name}. Somebody dropped out; the first yes has the shift.",
        "yes": "Yes, I will be there",
        "no": "No, I can’t this time",
    }
    return _page(request, row.shift.clinic, context, refusal)


@require_http_methods(["GET", "HEAD", "POST"])
def swap(request: HttpRequest, token: str) -> HttpResponse:
    rows = Swap.objects.select_related("assignment__shift__clinic__center", "assignment__volunteer", "to")
    rows = rows.prefetch_related("assignment__shift__clinic__bands")
    try:
        row = subject_of(request, "swap", token, rows, "This question is over.")
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    refusal = None
    if request.method == "POST":
        try:
            row.state = answer_swap(swap=row, yes=request.POST.get("answer") == "yes", now=clock.now()).state
        except Refusal as problem:
            refusal = problem
    clinic = row.assignment.shift.clinic
    if row.state != Swap.State.ASKED:
        words = {
            Swap.State.DONE: "The shift is yours. Thank you!",
            Swap.State.AGREED: "Thank you. The office looks at it and you hear from us.",
            Swap.State.DECLINED: "Thank you for answering.",
        }.get(Swap.State(row.state), "This question is settled.")
        return _page(request, clinic, {"heading": words, "lede": ""}, None)
    context = {
        "heading": f"Can you {row.assignment.shift.duty_ask} for {row.assignment.volunteer}?",
        "lede": f"Hello {row.to.given_name}. {row.assignment.volunteer} asks you to take this shift over.",
        "yes": "Yes, I take it over",
        "no": "No, I can’t this time",
    }
    return _page(request, clinic, context, refusal)


@require_POST
def swap_offer(request: HttpRequest, token: str) -> HttpResponse:
    try:
        row = subject_of(request, "shift", token, shift_questions(), "This shift is no longer in our books.")
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    try:
        offer_swap(assignment=row, email=request.POST.get("email", "")[:254], now=clock.now())
    except Refusal as refusal:
        context = shift_context(row, clock.now()) | {"token": token, "refusal": refusal}
        return render_at(row.shift.clinic.center.tz, request, "shifts/shift_reply.html", context, status=409)
    # The same words whether or not we know the address: nobody learns here who is with us.
    messages.success(request, "If that is a volunteer of ours, they are being asked. You stay on until they say yes.")
    return redirect("shift-reply", token)
