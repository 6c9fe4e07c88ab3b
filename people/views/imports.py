"""Volunteers and clearances in and out as CSV."""

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock
from core.access import may
from core.csv_out import csv_answer
from core.formats import counted
from core.refusal import Refusal
from people.access import account
from people.models import Clearance, Import, Volunteer
from people.rules.volunteer_rows import CLEARANCE_HEAD, VOLUNTEER_HEAD
from people.services import imports

# What a file's rows are called where they are counted (core.formats.NOUNS).
NOUNS = {Import.What.VOLUNTEERS.value: "volunteer", Import.What.CLEARANCES.value: "clearance"}


class FileForm(forms.Form):
    what = forms.ChoiceField(
        label=_("What’s in this file"), choices=[one for one in Import.What.choices if one[0] in NOUNS]
    )
    file = forms.FileField(label=_("CSV file"), help_text=_("UTF-8, up to 10 MB and 50,000 rows."))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_volunteers", "keep_clearances")
def import_new(request: HttpRequest) -> HttpResponse:
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    if request.method == "POST" and form.is_valid():
        try:
            return redirect("import", read_file(request, form, form.cleaned_data["what"]).pk)
        except Refusal as refusal:
            refusal.show_on(form)
    context = {
        "here": "volunteers",
        "form": form,
        "heads": {"volunteers": ",".join(VOLUNTEER_HEAD), "clearances": ",".join(CLEARANCE_HEAD)},
        "earlier": _tables().defer("rows", "bad", "made").select_related("by")[:10],
    }
    return render(request, "people/import_new.html", context, status=422 if form.errors else 200)


@require_safe
@may("keep_volunteers", "keep_clearances")
def import_one(request: HttpRequest, pk: int) -> HttpResponse:
    table = get_object_or_404(_tables(), pk=pk)
    context = {
        "here": "volunteers",
        "table": table,
        "noun": NOUNS[table.what],
        "done": imports.progress(table),
        "bad": Paginator(table.bad, 50).get_page(request.GET.get("page")),
        "sample": table.rows[:10],
        "columns": list(table.rows[0]) if table.rows else [],
    }
    part = request.htmx and request.GET.get("part") == "state"  # type: ignore[attr-defined]
    return render(request, "people/_import_state.html" if part else "people/import.html", context)


@require_POST
@may("keep_volunteers", "keep_clearances")
def import_act(request: HttpRequest, pk: int) -> HttpResponse:
    table = get_object_or_404(_tables(), pk=pk)

    def undone(count: int) -> str:
        return gettext("Import undone. Removed: %(what)s.") % {"what": counted(count, NOUNS[table.what])}

    act_on(request, table, undone)
    return redirect("import", pk)


def read_file(request: HttpRequest, form: forms.Form, what: str) -> Import:
    """The file of a valid form, checked and kept for a look. Raises Refusal for one that can't be read."""
    file = form.cleaned_data["file"]
    imports.check_size(file.size)
    return imports.read_table(
        what=what, name=file.name, raw=file.read(), by=account(request), now=clock.now(), today=clock.today()
    )


def act_on(request: HttpRequest, table: Import, undone: Callable[[int], str]) -> None:
    """Import the file or undo it, as the clicked button says; ``undone`` words how many were removed."""
    try:
        if request.POST.get("act") == "take":
            imports.start_taking(table=table, by=account(request))
        elif request.POST.get("act") == "undo":
            messages.success(request, undone(imports.undo(table=table)))
    except Refusal as refusal:
        messages.error(request, str(refusal))


@require_safe
@may("see_volunteers")
def export(_request: HttpRequest, what: str) -> HttpResponse:
    """Everything that an import of the same kind reads."""
    if what == Import.What.VOLUNTEERS:
        people = Volunteer.objects.active()
        rows = [
            (
                v.name,
                v.email,
                v.phone,
                ",".join(v.duties),
                "yes" if v.adult else "no",
                v.home_area,
                v.latitude,
                v.longitude,
            )
            for v in people
        ]
        return csv_answer(f"volunteers-{clock.today()}.csv", VOLUNTEER_HEAD, rows)
    if what == Import.What.CLEARANCES:
        records = Clearance.objects.filter(volunteer__left_on__isnull=True).select_related("volunteer", "kind")
        lines = [
            (c.volunteer.email, c.kind.code, c.state, c.issued_on, c.expires_on, c.reference, c.issuer) for c in records
        ]
        return csv_answer(f"clearances-{clock.today()}.csv", CLEARANCE_HEAD, lines)
    raise Http404


def _tables() -> QuerySet[Import]:
    """Tables of households have pages of their own, and other rights."""
    return Import.objects.exclude(what=Import.What.HOUSEHOLDS)
