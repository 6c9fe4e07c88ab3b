"""How long children's records are kept, and guardians' data requests: a person looks at each."""

from collections import Counter
from datetime import timedelta

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock, links
from core.access import may
from core.link_pages import link_problem, subject_of
from core.refusal import Refusal
from core.theme import render_at
from families.letters.family_requests import COPY_DAYS
from families.models import Child, FamilyRequest, Retention
from families.queries.family_copy import family_copy
from families.services.redaction import hold_child, set_retention
from families.services.retention import children_due, decide_request, rule_of
from people.access import account
from people.models import Purge


class KeepingForm(forms.ModelForm):
    class Meta:
        model = Retention
        fields = ["child_months", "keep_waivers", "majority_age", "limitation_years"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_requests")
def retention(request: HttpRequest) -> HttpResponse:
    """The rule, what the next purge would take, and how much went before. First the effect, then the change."""
    row = Retention.now()
    form = KeepingForm(request.POST if request.method == "POST" else None, instance=row)
    would: Counter[str] | None = None
    if request.method == "POST" and form.is_valid():
        if request.POST.get("confirmed"):
            set_retention(rule=form.instance, by=account(request), now=clock.now())
            messages.success(request, _("Saved. The next cleanup will use this rule."))
            return redirect("retention")
        would = Counter(goes for _, goes in children_due(today=clock.today(), rule=rule_of(form.instance)))
    context = {
        "here": "children",
        "form": form,
        "would": would,
        "due": Counter(goes for _, goes in children_due(today=clock.today(), rule=rule_of(Retention.now()))),
        "held": Child.objects.known().exclude(held_because=""),
        "purges": Purge.objects.all()[:20],
    }
    return render_at(clock.home_zone(), request, "families/retention.html", context, status=422 if form.errors else 200)


@require_safe
@may("keep_requests")
def request_list(request: HttpRequest) -> HttpResponse:
    rows = FamilyRequest.objects.select_related("guardian", "decided_by")
    context = {
        "here": "children",
        "waiting": rows.filter(state=FamilyRequest.State.WAITING).order_by("asked_at"),
        "decided": rows.exclude(state=FamilyRequest.State.WAITING)[:30],
        "today": clock.today(),
        "copy_days": COPY_DAYS,
    }
    return render_at(clock.home_zone(), request, "families/family_requests.html", context)


@require_POST
@may("keep_requests")
def request_decide(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(FamilyRequest.objects.select_related("guardian"), pk=pk)
    act = request.POST.get("act")
    try:
        if act not in ("grant", "decline"):
            raise Refusal.because("no such act", _("Click one of the buttons."))
        emailed = bool(row.guardian.email)
        with transaction.atomic():
            decide_request(
                request=row,
                grant=act == "grant",
                reason=request.POST.get("reason", "")[:300],
                by=account(request),
                now=clock.now(),
                keep_waivers=Retention.now().keep_waivers,
            )
        words = _("Done. We’re emailing the guardian.")
        if not emailed:
            words = _("Done. We have no email for this guardian, so let them know in person or by phone.")
        messages.success(request, words)
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("family-requests")


@require_POST
@may("keep_requests")
def child_hold(request: HttpRequest, pk: int) -> HttpResponse:
    child = get_object_or_404(Child, pk=pk)
    because = request.POST.get("because", "")[:200]
    try:
        hold_child(child=child, because=because)
        words = _("The record is on hold.")
        if not because.strip():
            words = _("The hold is off. The rule applies to this record again.")
        messages.success(request, words)
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("retention")


@require_safe
def copy(request: HttpRequest, token: str) -> HttpResponse:
    """By link: everything we keep of the guardian who asked, in their language."""
    try:
        rows = FamilyRequest.objects.filter(state=FamilyRequest.State.DONE).select_related("guardian")
        row = subject_of(request, "copy", token, rows, _("This copy is no longer available."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    assert row.decided_at is not None
    context = {
        "guardian": row.guardian,
        "children": family_copy(row.guardian),
        "run_out": row.decided_at + timedelta(days=COPY_DAYS),
    }
    with translation.override(row.guardian.language):
        return render(request, "families/family_copy.html", context)
