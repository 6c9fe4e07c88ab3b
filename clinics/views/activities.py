"""Activities: all of them, one to change, and in and out as CSV."""

import csv
import io

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.forms.activities import ActivityFileForm, ActivityForm
from clinics.models import Activity
from clinics.rules.activity_rows import ACTIVITY_HEAD, BETWEEN, ReadActivities, read_activities
from clinics.services.activities import add_activity, retire_activity, take_rows
from config.access import may
from config.csv_out import csv_answer
from config.refusal import Refusal
from config.saving import saved_or_refused

MOST_BYTES = 200_000
MOST_ROWS = 500


@require_safe
@may("see_clinics")
def activity_list(request: HttpRequest) -> HttpResponse:
    rows = list(Activity.objects.all())
    kinds = [
        (label, [row for row in rows if row.kind == kind and not row.retired]) for kind, label in Activity.Kind.choices
    ]
    context = {
        "here": "clinics",
        "kinds": [(label, some) for label, some in kinds if some],
        "retired": [row for row in rows if row.retired],
        "offered": sum(not row.retired for row in rows),
        "may_book": request.user.has_perm("people.book_clinics"),
    }
    return render(request, "clinics/activities.html", context)


@require_safe
@may("see_clinics")
def activity(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Activity, pk=pk)
    context = {
        "here": "clinics",
        "row": row,
        "rule": row.as_rule(),
        "may_book": request.user.has_perm("people.book_clinics"),
    }
    return render(request, "clinics/activity.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def activity_new(request: HttpRequest) -> HttpResponse:
    form = ActivityForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            row = add_activity(activity=form.save(commit=False))
            messages.success(request, f"{row} is added.")
            return redirect("activity", row.pk)
        except Refusal as refusal:
            refusal.show_on(form)
    context = {"here": "clinics", "form": form, "heading": "Add an activity"}
    return render(request, "clinics/activity_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def activity_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Activity, pk=pk)
    form = ActivityForm(request.POST if request.method == "POST" else None, instance=row)
    if request.method == "POST" and form.is_valid() and saved_or_refused(form):
        messages.success(request, f"{row} is saved. Run sheets that are planned already keep what they had.")
        return redirect("activity", pk)
    context = {"here": "clinics", "form": form, "heading": f"Change {form.initial['name']}"}
    return render(request, "clinics/activity_form.html", context, status=422 if form.errors else 200)


@require_POST
@may("book_clinics")
def activity_retire(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Activity, pk=pk)
    row = retire_activity(activity=row, retired=request.POST.get("act") == "retire")
    words = "is no longer offered" if row.retired else "is offered again"
    messages.success(request, f"{row} {words}.")
    return redirect("activities")


@require_safe
@may("see_clinics")
def activity_export(request: HttpRequest) -> HttpResponse:
    """Everything that an import reads."""
    points = {"teaching", "safety"}
    rows = [
        [
            BETWEEN.join(getattr(row, name).splitlines()) if name in points else getattr(row, name)
            for name in ACTIVITY_HEAD
        ]
        for row in Activity.objects.offered()
    ]
    return csv_answer("activities.csv", ACTIVITY_HEAD, rows)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def activity_import(request: HttpRequest) -> HttpResponse:
    """Read a file and show what it holds; the same text comes back with the press that takes it."""
    taking = request.method == "POST" and request.POST.get("act") == "take"
    form = (
        ActivityFileForm(request.POST, request.FILES) if request.method == "POST" and not taking else ActivityFileForm()
    )
    text, found = "", None
    try:
        if taking:
            text = request.POST.get("text", "")
            added, changed = take_rows(rows=_read(text).good)
            messages.success(request, f"{added} added and {changed} changed.")
            return redirect("activities")
        if form.is_bound and form.is_valid():
            text = _text(form.cleaned_data["file"].read(MOST_BYTES + 1))
            found = _read(text)
    except Refusal as refusal:
        form = ActivityFileForm({}) if taking else form
        form.errors.clear()
        refusal.show_on(form)
    names = dict(Activity.objects.values_list("code", "name"))
    context = {
        "here": "clinics",
        "form": form,
        "text": text,
        "found": found,
        "new": sum(row.new for row in found.good) if found else 0,
        "names": names,
        "head": ",".join(ACTIVITY_HEAD),
    }
    return render(request, "clinics/activity_import.html", context, status=422 if form.errors else 200)


def _text(raw: bytes) -> str:
    if len(raw) > MOST_BYTES:
        raise Refusal.because("too large", "That file is larger than 200 kB. Split it and read the parts.", "file")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise Refusal.because(
            "not utf-8",
            "The letters of this file are not UTF-8. Save it again as “CSV UTF-8” and choose it anew.",
            "file",
        ) from problem


def _read(text: str) -> ReadActivities:
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    try:
        reader.fieldnames = [(name or "").strip().lower().replace(" ", "_") for name in reader.fieldnames or []]
        missing = [name for name in ("name", "kind", "least_minutes", "most_minutes") if name not in reader.fieldnames]
        if missing:
            words = f"The first line must name the columns. {' and '.join(missing)} can't be found."
            raise Refusal.because("no head", words, "file")
        rows = [row for row in reader if any(str(cell or "").strip() for cell in row.values())]
    except csv.Error as problem:
        words = f"The file can't be read as a table near line {reader.line_num}: {problem}."
        raise Refusal.because("not a table", words, "file") from problem
    if not rows:
        raise Refusal.because("empty", "There is no row under the first line.", "file")
    if len(rows) > MOST_ROWS:
        raise Refusal.because("too many", f"That is more than {MOST_ROWS} rows. Split the file.", "file")
    return read_activities(rows, dict(Activity.objects.values_list("code", "name")))
