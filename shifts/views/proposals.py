"""Cover plans: asking for one, watching the search, taking what it found, trying a what-if."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST, require_safe

from clinics.models import Clinic
from core import clock
from core.access import may
from core.parsing import row_number
from core.refusal import Refusal
from people.access import account
from people.models import Volunteer
from shifts.forms.proposals import DaysForm, WhatIfForm
from shifts.models import Proposal
from shifts.queries import proposals as queries
from shifts.services import proposals as services
from shifts.services.what_if import make_so

PER_PAGE = 20


@require_safe
@may("cover_clinics")
def cover(request: HttpRequest) -> HttpResponse:
    return _cover_page(request, DaysForm.of_week(clock.today()))


@require_POST
@may("cover_clinics")
def proposal_new(request: HttpRequest) -> HttpResponse:
    """For days, or with ``clinic`` for one clinic alone."""
    number = row_number(request.POST.get("clinic", ""))
    if number is not None:
        clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=number)
        row = services.propose(first=clinic.day, last=clinic.day, clinic=clinic, by=account(request), now=clock.now())
        return redirect("proposal", row.pk)
    form = DaysForm(request.POST)
    if form.is_valid():
        try:
            days = form.cleaned_data
            row = services.propose(
                first=days["first_day"],
                last=days["last_day"],
                keep_asked=bool(request.POST.get("keep")),
                by=account(request),
                now=clock.now(),
            )
            return redirect("proposal", row.pk)
        except Refusal as refusal:
            refusal.show_on(form)
    return _cover_page(request, form)


@require_safe
@may("cover_clinics")
def proposal(request: HttpRequest, pk: int) -> HttpResponse:
    row = _proposal(pk)
    part = request.GET.get("part") == "state" and row.busy
    template = "shifts/_proposal_state.html" if part else "shifts/proposal.html"
    answer = _page(request, row, WhatIfForm(clinics=queries.clinics_of(row, clock.now())), template)
    if request.GET.get("part") == "state" and not row.busy:
        # The search is over: the whole page is new, so the browser is told to open it.
        answer = HttpResponse(status=204, headers={"HX-Refresh": "true"})
    return answer


@require_POST
@may("cover_clinics")
def proposal_stop(request: HttpRequest, pk: int) -> HttpResponse:
    services.stop(proposal=_proposal(pk))
    messages.success(request, gettext("Stopping the search. We’ll keep the best plan so far."))
    return redirect("proposal", pk)


@require_POST
@may("cover_clinics")
def proposal_take(request: HttpRequest, pk: int) -> HttpResponse:
    row = _proposal(pk)
    if row.what_if:
        text = gettext("This is a what-if plan. Apply the what-if first, or search again with current data.")
        messages.error(request, text)
        return redirect("proposal", pk)
    ids = {number for one in request.POST.getlist("line") if (number := row_number(one)) is not None}
    if not ids:
        messages.error(request, gettext("Check at least one line."))
        return redirect("proposal", pk)
    done, refused = services.take_lines(proposal=row, ids=ids, now=clock.now())
    if done:
        text = ngettext(
            "%(n)d change made. We’re emailing anyone it affects.",
            "%(n)d changes made. We’re emailing the people they affect.",
            done,
        )
        messages.success(request, text % {"n": done})
    if refused:
        text = ngettext(
            "%(n)d change couldn’t be made. See the reason next to it.",
            "%(n)d changes couldn’t be made. See the reason next to each.",
            refused,
        )
        messages.warning(request, text % {"n": refused})
    return redirect("proposal", pk)


@require_POST
@may("cover_clinics")
def proposal_again(request: HttpRequest, pk: int) -> HttpResponse:
    """The same days once more, with current data; with ``plain`` the what-if is dropped."""
    row = _proposal(pk)
    again = services.propose(
        first=row.first_day,
        last=row.last_day,
        clinic=row.clinic,
        what_if=[] if request.POST.get("plain") else row.what_if,
        keep_asked=bool(request.POST.get("keep")),
        by=account(request),
        now=clock.now(),
    )
    return redirect("proposal", again.pk)


@require_POST
@may("cover_clinics")
@may("book_clinics")
def proposal_apply(request: HttpRequest, pk: int) -> HttpResponse:
    """Apply the what-if for real, then search again with what is then true."""
    row = _proposal(pk)
    try:
        done, to_do = make_so(proposal=row, now=clock.now())
    except Refusal as refusal:
        messages.error(request, gettext("Nothing changed. %(reason)s") % {"reason": refusal})
        return redirect("proposal", pk)
    for words in done:
        messages.success(request, gettext("Applied: %(what)s.") % {"what": words})
    for words in to_do:
        text = gettext("Do this yourself once you have the new record: %(what)s.")
        messages.warning(request, text % {"what": words})
    again = services.propose(
        first=row.first_day, last=row.last_day, clinic=row.clinic, by=account(request), now=clock.now()
    )
    return redirect("proposal", again.pk)


@require_POST
@may("cover_clinics")
def proposal_what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """A new plan that tries one thing more; the one that was stays as it is."""
    row = _proposal(pk)
    form = WhatIfForm(request.POST, clinics=queries.clinics_of(row, clock.now()))
    if not form.is_valid():
        return _page(request, row, form, status=422)
    again = services.propose(
        first=row.first_day,
        last=row.last_day,
        clinic=row.clinic,
        what_if=[*row.what_if, form.change()],
        by=account(request),
        now=clock.now(),
    )
    return redirect("proposal", again.pk)


@require_safe
@may("cover_clinics")
def proposal_why(request: HttpRequest, pk: int, person: int) -> HttpResponse:
    row = _proposal(pk)
    volunteer = get_object_or_404(Volunteer, pk=person)
    context = {
        "here": "cover",
        "row": row,
        "volunteer": volunteer,
        "lines": queries.why_lines(row, volunteer, clock.now()),
    }
    return render(request, "shifts/proposal_why.html", context)


def _proposal(pk: int) -> Proposal:
    return get_object_or_404(Proposal.objects.select_related("clinic__center", "asked_by"), pk=pk)


def _page(
    request: HttpRequest,
    row: Proposal,
    form: WhatIfForm,
    template: str = "shifts/proposal.html",
    status: int = 200,
) -> HttpResponse:
    groups = queries.lines_by_clinic(row)
    lines = [line for group in groups for line in group.lines]
    context = {
        "here": "cover",
        "today": clock.today(),
        "row": row,
        "searched": round(row.progress.get("seconds", 0)),
        "groups": [group for group in groups if group.lines],
        "untouched": sum(group.untouched for group in groups),
        "takeable": sum(line.can_be_taken for line in lines),
        "what_if": queries.what_if_sentences(row),
        "people": Volunteer.objects.active(),
        "form": form,
    }
    return render(request, template, context, status=status)


def _cover_page(request: HttpRequest, form: DaysForm) -> HttpResponse:
    rows = Proposal.objects.select_related("clinic__center", "asked_by")
    context = {
        "here": "cover",
        "today": clock.today(),
        "form": form,
        "page": Paginator(rows, PER_PAGE).get_page(request.GET.get("page")),
    }
    return render(request, "shifts/cover.html", context, status=422 if form.errors else 200)
