"""Activities: all of them, one to change, and out as CSV."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access import may
from core.csv_out import csv_answer
from core.refusal import Refusal
from core.saving import saved_or_refused
from runsheets.forms.activities import ActivityForm
from runsheets.models import Activity
from runsheets.queries.activities import activity_history
from runsheets.rules.activity_rows import ACTIVITY_HEAD, BETWEEN, LINES
from runsheets.services.activities import add_activity, retire_activity
from runsheets.words.activities import needs_words, packed_words, skill_words


@require_safe
@may("see_clinics")
def activity_list(request: HttpRequest) -> HttpResponse:
    rows = list(Activity.objects.all())
    kinds = [
        (label, [(row, needs_words(row)) for row in rows if row.kind == kind and not row.retired])
        for kind, label in Activity.Kind.choices
    ]
    context = {
        "here": "clinics",
        "kinds": [(label, some) for label, some in kinds if some],
        "retired": [row for row in rows if row.retired],
        "offered": sum(not row.retired for row in rows),
        "may_book": request.user.has_perm("people.book_clinics"),
    }
    return render(request, "runsheets/activities.html", context)


@require_safe
@may("see_clinics")
def activity(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Activity, pk=pk)
    context = {
        "here": "clinics",
        "row": row,
        "rule": row.as_rule(),
        "packed": packed_words(row),
        "skill": skill_words(row.skill),
        "history": activity_history(row),
        "may_book": request.user.has_perm("people.book_clinics"),
    }
    return render(request, "runsheets/activity.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def activity_new(request: HttpRequest) -> HttpResponse:
    form = ActivityForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            row = add_activity(activity=form.save(commit=False))
            messages.success(request, gettext("%(name)s added.") % {"name": row})
            return redirect("activity", row.pk)
        except Refusal as refusal:
            refusal.show_on(form)
    context = {"here": "clinics", "form": form, "heading": gettext("Add an activity")}
    return render(request, "runsheets/activity_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def activity_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Activity, pk=pk)
    form = ActivityForm(request.POST if request.method == "POST" else None, instance=row)
    if request.method == "POST" and form.is_valid() and saved_or_refused(form):
        messages.success(request, gettext("%(name)s saved. Existing run sheets won’t change.") % {"name": row})
        return redirect("activity", pk)
    context = {"here": "clinics", "form": form, "heading": gettext("Edit %(name)s") % {"name": form.initial["name"]}}
    return render(request, "runsheets/activity_form.html", context, status=422 if form.errors else 200)


@require_POST
@may("book_clinics")
def activity_retire(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Activity, pk=pk)
    row = retire_activity(activity=row, retired=request.POST.get("act") == "retire")
    words = gettext("%(name)s archived.") if row.retired else gettext("%(name)s restored.")
    messages.success(request, words % {"name": row})
    return redirect("activities")


@require_safe
@may("see_clinics")
def activity_export(_request: HttpRequest) -> HttpResponse:
    """Everything that an import reads."""
    rows = [
        [
            BETWEEN.join(getattr(row, name).splitlines()) if name in LINES else getattr(row, name)
            for name in ACTIVITY_HEAD
        ]
        for row in Activity.objects.offered()
    ]
    return csv_answer("activities.csv", ACTIVITY_HEAD, rows)
