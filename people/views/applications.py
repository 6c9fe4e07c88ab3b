"""Joining: the public page, the page by link, and the office's list with its question and its decision."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock, links
from core.access import may
from core.actions import action_of
from core.link_pages import link_problem, subject_of
from core.parsing import row_number
from core.refusal import Refusal
from core.theme import render_at
from people.access import account
from people.forms.applications import ApplicationForm, DecisionForm, QuestionForm
from people.models import Application, Volunteer
from people.queries.duplicates import likely_duplicates
from people.services import applications as services
from people.services.merge import merge_volunteers


@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest) -> HttpResponse:
    """The public form. What it answers says nothing of who is here already."""
    form = ApplicationForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        if form.cleaned_data["website"]:
            # A program filled in what people can't see: thank it and keep nothing.
            return redirect("join-thanks")
        try:
            services.apply(application=form.save(commit=False), now=clock.now())
            return redirect("join-thanks")
        except Refusal as refusal:
            refusal.show_on(form)
    return render(request, "people/join.html", {"form": form}, status=422 if form.errors else 200)


@require_safe
def join_thanks(request: HttpRequest) -> HttpResponse:
    return render(request, "people/join_thanks.html")


@require_http_methods(["GET", "HEAD", "POST"])
def join_link(request: HttpRequest, token: str) -> HttpResponse:
    try:
        gone = gettext("This application is no longer on file.")
        row = subject_of(request, "apply", token, Application.objects.all(), gone)
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    refusal = None
    if request.method == "POST":
        try:
            if row.state == Application.State.MORE_ASKED:
                services.answer_question(application=row, words=request.POST.get("words", ""))
            else:
                services.confirm_address(application=row)
            return redirect("join-link", token)
        except Refusal as refused:
            refusal = refused
    context = {"row": row, "refusal": refusal, "states": Application.State}
    return render(request, "people/join_link.html", context, status=422 if refusal else 200)


@require_safe
@may("keep_volunteers")
def application_list(request: HttpRequest) -> HttpResponse:
    waiting = request.GET.get("show") != "all"
    rows = Application.objects.all()
    if waiting:
        rows = rows.filter(state__in=[Application.State.NEW, Application.State.MORE_ASKED])
    context = {"here": "volunteers", "page": Paginator(rows, 50).get_page(request.GET.get("page")), "waiting": waiting}
    return render_at(clock.home_zone(), request, "people/applications.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_volunteers")
def application(request: HttpRequest, pk: int) -> HttpResponse:
    row = _application(pk)
    form = DecisionForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            return _decide(request, row, form.cleaned_data["reason"])
        except Refusal as refusal:
            refusal.show_on(form)
    return _show(request, row, decision=form)


@may("keep_volunteers")
@action_of("application", "pk")
def application_question(request: HttpRequest, pk: int) -> HttpResponse:
    row = _application(pk)
    form = QuestionForm(request.POST)
    if form.is_valid():
        try:
            services.ask_for_more(application=row, question=form.cleaned_data["question"], now=clock.now())
            messages.success(request, gettext("We’re emailing your question to %(name)s.") % {"name": row.name})
            return redirect("applications")
        except Refusal as refusal:
            refusal.show_on(form)
    return _show(request, row, question=form)


def _application(pk: int) -> Application:
    return get_object_or_404(Application.objects.select_related("volunteer", "decided_by"), pk=pk)


def _show(
    request: HttpRequest,
    row: Application,
    *,
    decision: DecisionForm | None = None,
    question: QuestionForm | None = None,
) -> HttpResponse:
    """The page as it is, or with a form as it was typed and why it was refused."""
    decision, question = decision or DecisionForm(), question or QuestionForm()
    context = {
        "here": "volunteers",
        "row": row,
        "decision": decision,
        "question": question,
        "twins": likely_duplicates(name=row.name, email=row.email, phone=row.phone) if row.open else [],
    }
    status = 422 if decision.errors or question.errors else 200
    return render_at(clock.home_zone(), request, "people/application.html", context, status)


def _decide(request: HttpRequest, row: Application, reason: str) -> HttpResponse:
    by, now, act = account(request), clock.now(), request.POST.get("act", "")
    if act == "accept":
        number = row_number(request.POST.get("into", ""))
        into = get_object_or_404(Volunteer, pk=number) if number is not None else None
        volunteer = services.accept(application=row, by=by, now=now, into=into)
        done = gettext("%(name)s accepted. Record their clearances before you ask them for shifts.")
        messages.success(request, done % {"name": volunteer.name})
        return redirect("volunteer", volunteer.pk)
    if act == "decline":
        services.decline(application=row, reason=reason, by=by, now=now)
        messages.success(request, gettext("We’re emailing your reason to %(name)s.") % {"name": row.name})
        return redirect("applications")
    raise Refusal.because("no such act", gettext("Click one of the buttons."))


@require_POST
@may("keep_volunteers", "keep_clearances")
def merge(request: HttpRequest, pk: int) -> HttpResponse:
    keep = get_object_or_404(Volunteer, pk=pk)
    other = get_object_or_404(Volunteer, pk=row_number(request.POST.get("other", "")))
    try:
        merge_volunteers(keep=keep, other=other, now=clock.now())
        done = gettext("%(name)s’s two records are now one. Nothing was lost.")
        messages.success(request, done % {"name": keep.name})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("volunteer", pk)


@require_safe
@may("keep_volunteers", "keep_clearances")
def duplicates(request: HttpRequest, pk: int) -> HttpResponse:
    """Records that may be the same person's as this one."""
    person = get_object_or_404(Volunteer, pk=pk)
    found = likely_duplicates(name=person.name, email=person.email, phone=person.phone, but_for=person.pk)
    return render(request, "people/duplicates.html", {"here": "volunteers", "person": person, "twins": found})
