"""A center's papers: adding, viewing, and downloading the file."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.http import content_disposition_header
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.forms.agreements import AgreementForm
from clinics.models import Agreement, AgreementKind, Center
from clinics.queries.agreements import agreement_book
from clinics.services.agreements import record_agreement, take_back_agreement
from core import clock
from core.access import may
from core.refusal import Refusal
from core.theme import render_at
from people.access import account


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def center_agreements(request: HttpRequest, pk: int) -> HttpResponse:
    center = get_object_or_404(Center, pk=pk)
    posted = (request.POST, request.FILES) if request.method == "POST" else ()
    form = AgreementForm(*posted, initial={"kind": request.GET.get("kind", AgreementKind.INSURANCE)})
    if posted and form.is_valid():
        data = form.cleaned_data
        try:
            row = record_agreement(
                center=center,
                kind=AgreementKind(data["kind"]),
                from_day=data["from_day"],
                until_day=data["until_day"],
                reference=data["reference"],
                paper=data["file"],
                by=account(request),
                now=clock.now(),
            )
        except Refusal as refusal:
            refusal.show_on(form)
        else:
            done = gettext("%(document)s saved.") % {"document": capfirst(str(row.get_kind_display()))}
            messages.success(request, done)
            return redirect("center-agreements", pk)
    today = clock.today(center.tz)
    lines = agreement_book([center.pk]).lines(center, today)
    holding = {line.state.number for line in lines}
    rows = Agreement.objects.filter(center=center).select_related("recorded_by", "taken_back_by")
    context = {
        "here": "centers",
        "center": center,
        "form": form,
        "lines": lines,
        "rows": [(row, row.pk in holding) for row in rows],
        "today": today,
    }
    status = 422 if form.errors else 200
    return render_at(center.tz, request, "clinics/center_agreements.html", context, status=status)


@require_POST
@may("keep_centers")
def agreement_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Agreement, pk=pk)
    take_back_agreement(agreement=row, by=account(request), now=clock.now())
    done = gettext("%(document)s removed: it no longer counts. It stays on the list.")
    messages.success(request, done % {"document": capfirst(str(row.get_kind_display()))})
    return redirect("center-agreements", row.center_id)


@require_safe
@may("keep_centers")
def agreement_file(_request: HttpRequest, pk: int) -> HttpResponse:
    """The paper, to be saved and never shown in the page: whatever hides in it can't act in our name."""
    row = get_object_or_404(Agreement.objects.defer(None), pk=pk)
    if row.file is None:
        raise Http404
    answer = HttpResponse(bytes(row.file), content_type=row.file_type)
    answer.headers["Content-Disposition"] = content_disposition_header(True, row.file_name) or "attachment"
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = "sandbox; default-src 'none'"
    return answer
