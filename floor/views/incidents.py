"""What is left to do after an incident, and the office's record that it was done."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from clinics.models import Clinic
from core import clock
from core.access import may
from core.refusal import Refusal
from core.theme import render_at
from floor.forms.incidents import FollowUpForm
from floor.models import Incident, IncidentFollowUp
from floor.queries.follow_ups import FollowUpLine
from floor.rules.incidents import HEAD
from floor.services.follow_up import follow_up_mark, save_follow_up
from floor.words import happened_words, left_words
from people.access import account


@require_http_methods(["GET", "HEAD", "POST"])
@may("see_clinics", "see_children", "keep_children")
def incident(request: HttpRequest, pk: int, incident: int) -> HttpResponse:
    """The follow-up of one incident. The report itself stays with admins, on the page of the day."""
    clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=pk)
    rows = Incident.objects.followed().without_words().select_related("clinic__center")
    row = get_object_or_404(rows, pk=incident, clinic=clinic)
    if request.method != "POST":
        return _page(request, row, _form(row), 200)
    form = FollowUpForm(request.POST, incident=row, clinic=clinic)
    if form.is_valid():
        try:
            save_follow_up(
                clinic=clinic,
                incident=row.pk,
                facts=form.facts(),
                told_at=form.cleaned_data["told_at"],
                was=form.cleaned_data["was"],
                by=account(request),
                now=clock.now(),
            )
        except Refusal as refusal:
            refusal.show_on(form)
            if "changed meanwhile" in refusal.codes:
                # What was typed stays; saved once more, it is meant over what the other one saved.
                again = request.POST.copy()
                again["was"] = follow_up_mark(row)
                form.data = again
                return _page(request, row, form, 409, saved=_saved(row))
        else:
            row = rows.get(pk=row.pk)
            messages.success(request, _done_words(row))
            return redirect("clinic-incident", pk, row.pk)
    return _page(request, row, form, 422)


def _saved(row: Incident) -> IncidentFollowUp | None:
    """With its words: whoever records a clearance reads who gave it."""
    return IncidentFollowUp.objects.select_related("saved_by").filter(incident=row).first()


def _form(row: Incident) -> FollowUpForm:
    known = FollowUpForm.known(_saved(row), row.clinic)
    return FollowUpForm(initial=known | {"was": follow_up_mark(row)}, incident=row, clinic=row.clinic)


def _done_words(row: Incident) -> str:
    left = FollowUpLine.of(row).left
    if left:
        return gettext("Saved. It stays on Ahead until the rest is done.")
    return gettext("Saved. Nothing is left to do.")


def _page(
    request: HttpRequest, row: Incident, form: FollowUpForm, status: int, saved: IncidentFollowUp | None = None
) -> HttpResponse:
    line = FollowUpLine.of(row)
    context = {
        "here": "clinics",
        "clinic": row.clinic,
        "row": row,
        "heading": happened_words(row),
        "left": [left_words(code, row) for code in line.left],
        "done": line.follow_up,
        "saved": saved,
        "form": form,
        "is_head": row.sort == HEAD,
        "may_read": request.user.has_perm("people.see_incidents"),
        "today": clock.today(row.clinic.center.tz),
    }
    answer = render_at(row.clinic.center.tz, request, "floor/incident.html", context, status=status)
    # Names of a provider and of who was told: nothing of it stays in the browser's store.
    answer["Cache-Control"] = "no-store"
    return answer
