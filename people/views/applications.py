"""Joining: the public page, the page by link, and the admin's list with its decisions."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock, links
from core.access import may
from core.link_pages import link_problem, subject_of
from core.parsing import row_number
from core.refusal import Refusal
from core.theme import render_at
from people.access import account
from people.forms.applications import ApplicationForm, DecisionForm
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
        gone = "This application is no longer in our books."
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
    row = get_object_or_404(Application.objects.select_related("volunteer", "decided_by"), pk=pk)
    form = DecisionForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            return _decide(request, row, form.cleaned_data["words"])
        except Refusal as refusal:
            refusal.show_on(form)
    context = {
        "here": "volunteers",
        "row": row,
        "form": form,
        "twins": likely_duplicates(name=row.name, email=row.email, phone=row.phone) if row.open else [],
    }
    status = 422 if form.errors else 200
    return render_at(clock.home_zone(), request, "people/application.html", context, status)


def _decide(request: HttpRequest, row: Application, words: str) -> HttpResponse:
    by, now, act = account(request), clock.now(), request.POST.get("act", "")
    if act == "accept":
        number = row_number(request.POST.get("into", ""))
        into = get_object_or_404(Volunteer, pk=number) if number is not None else None
        volunteer = services.accept(application=row, by=by, now=now, into=into)
        messages.success(request, f"{volunteer} is accepted. Record what clears them before you ask them.")
        return redirect("volunteer", volunteer.pk)
    if act == "more":
        services.ask_for_more(application=row, words=words, now=now)
        messages.success(request, f"{row} is being asked.")
    elif act == "decline":
        services.decline(application=row, words=words, by=by, now=now)
        messages.success(request, f"{row} is being told, with your reason.")
    else:
        raise Refusal.because("no such act", "Choose one of the buttons.")
    return redirect("applications")


@require_POST
@may("keep_volunteers", "keep_clearances")
def merge(request: HttpRequest, pk: int) -> HttpResponse:
    keep = get_object_or_404(Volunteer, pk=pk)
    other = get_object_or_404(Volunteer, pk=row_number(request.POST.get("other", "")))
    try:
        merge_volunteers(keep=keep, other=other, now=clock.now())
        messages.success(request, f"The two records of {keep} are one now; nothing was lost.")
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
