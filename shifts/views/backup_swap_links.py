"""Pages by link for backups, for a backup who is asked, and for swaps. A GET asks; only a POST answers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from clinics.formatting import children_words
from clinics.models import BE_THERE_BEFORE, Clinic
from core import clock, links
from core.link_pages import link_problem, subject_of
from core.refusal import Refusal
from core.theme import render_at
from people.models import duties
from shifts.models import Backup, BackupCall, Swap
from shifts.queries.link_pages import shift_questions
from shifts.services.backup import answer_call, end_backup
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
    return render_at(clinic.center.tz, request, "shifts/backup_swap_link.html", facts | context, status)


@require_http_methods(["GET", "HEAD", "POST"])
def backup(request: HttpRequest, token: str) -> HttpResponse:
    rows = Backup.objects.select_related("clinic__center", "volunteer").prefetch_related("clinic__bands")
    try:
        row = subject_of(request, "backup", token, rows, gettext("You’re no longer a backup for this clinic."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    if request.method == "POST":
        end_backup(backup=row)
        words = gettext("You’re no longer a backup. Thank you.")
        return render(request, "shifts/backup_swap_thanks.html", {"words": words})
    context = {
        "heading": gettext("You’re a backup"),
        "lede": gettext("If the %(duty)s can’t make it, we’ll email you. You don’t need to do anything now.")
        % {"duty": duties().noun(row.duty_id)},
        "no": gettext("Stop being a backup"),
    }
    return _page(request, row.clinic, context, None)


@require_http_methods(["GET", "HEAD", "POST"])
def call(request: HttpRequest, token: str) -> HttpResponse:
    rows = BackupCall.objects.select_related("shift__clinic__center", "volunteer")
    try:
        rows = rows.prefetch_related("shift__clinic__bands")
        row = subject_of(request, "call", token, rows, gettext("This request has ended."))
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
            "took it": gettext("The shift is yours. Thank you for stepping in!"),
            "too late": gettext("Someone else just took the shift. Thank you for offering!"),
            "no": gettext("Thank you for answering."),
        }[row.answer]
        context = {"heading": words, "lede": "" if row.answer != "took it" else gettext("See you there!")}
        return _page(request, row.shift.clinic, context, None)
    context = {
        "heading": gettext("Can you %(do)s?") % {"do": row.shift.duty_ask},
        "lede": gettext("Hello %(name)s. Someone can’t make it. The first person to say yes gets the shift.")
        % {"name": row.volunteer.given_name},
        "yes": gettext("Yes, I’ll be there"),
        "no": gettext("No, I can’t make it"),
    }
    return _page(request, row.shift.clinic, context, refusal)


@require_http_methods(["GET", "HEAD", "POST"])
def swap(request: HttpRequest, token: str) -> HttpResponse:
    rows = Swap.objects.select_related("assignment__shift__clinic__center", "assignment__volunteer", "to")
    rows = rows.prefetch_related("assignment__shift__clinic__bands")
    try:
        row = subject_of(request, "swap", token, rows, gettext("This request has ended."))
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
            Swap.State.DONE: gettext("The shift is yours. Thank you!"),
            Swap.State.AGREED: gettext("Thank you. Our office will review it and email you."),
            Swap.State.DECLINED: gettext("Thank you for answering."),
        }.get(Swap.State(row.state), gettext("This request has been answered."))
        return _page(request, clinic, {"heading": words, "lede": ""}, None)
    context = {
        "heading": gettext("Can you %(do)s for %(name)s?")
        % {"do": row.assignment.shift.duty_ask, "name": row.assignment.volunteer},
        "lede": gettext("Hello %(name)s. %(other)s is asking you to take this shift.")
        % {"name": row.to.given_name, "other": row.assignment.volunteer},
        "yes": gettext("Yes, I’ll take it"),
        "no": gettext("No, I can’t make it"),
    }
    return _page(request, clinic, context, refusal)


@require_POST
def swap_offer(request: HttpRequest, token: str) -> HttpResponse:
    try:
        row = subject_of(request, "shift", token, shift_questions(), gettext("This shift is no longer on file."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    try:
        offer_swap(assignment=row, email=request.POST.get("email", "")[:254], now=clock.now())
    except Refusal as refusal:
        context = shift_context(row, clock.now()) | {"token": token, "refusal": refusal}
        return render_at(row.shift.clinic.center.tz, request, "shifts/shift_reply.html", context, status=409)
    # The same words whether or not we know the address: nobody learns here who is with us.
    text = gettext(
        "If that email belongs to one of our volunteers, we’ll ask them. You’re still on the shift until they say yes."
    )
    messages.success(request, text)
    return redirect("shift-reply", token)
