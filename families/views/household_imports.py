"""Families from a CSV file: upload, check, import, undo."""

from datetime import date
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core.access import may
from core.refusal import Refusal
from families.models import Experience, Language
from families.rules.household_rows import HOUSEHOLD_HEAD, LOCKED
from people.models import Import
from people.services import imports
from people.views.imports import act_on, read_file


class HouseholdFileForm(forms.Form):
    file = forms.FileField(
        label=_("CSV file"), help_text=_("A CSV file (UTF-8), up to 10 MB and 50,000 rows. One row per child.")
    )


@require_http_methods(["GET", "HEAD", "POST"])
@may("see_children", "keep_children")
def import_new(request: HttpRequest) -> HttpResponse:
    form = HouseholdFileForm(request.POST, request.FILES) if request.method == "POST" else HouseholdFileForm()
    if request.method == "POST" and form.is_valid():
        try:
            return redirect("household-import-one", read_file(request, form, Import.What.HOUSEHOLDS).pk)
        except Refusal as refusal:
            refusal.show_on(form)
    earlier = Import.objects.filter(what=Import.What.HOUSEHOLDS).defer("rows", "bad", "made").select_related("by")
    context = {"here": "children", "form": form, "head": ",".join(HOUSEHOLD_HEAD), "earlier": earlier[:10]}
    return render(request, "families/household_import_new.html", context, status=422 if form.errors else 200)


@require_safe
@may("see_children", "keep_children")
def import_one(request: HttpRequest, pk: int) -> HttpResponse:
    table = get_object_or_404(Import, pk=pk, what=Import.What.HOUSEHOLDS)
    # A household that was forgotten since leaves its row empty.
    sample = [_read_child(row) for row in table.rows[:10] if row["child_name"]]
    context = {
        "here": "children",
        "table": table,
        "done": imports.progress(table),
        "bad": Paginator(table.bad, 50).get_page(request.GET.get("page")),
        "sample": sample,
    }
    part = request.htmx and request.GET.get("part") == "state"  # type: ignore[attr-defined]
    return render(
        request, "families/_household_import_state.html" if part else "families/household_import.html", context
    )


def _read_child(row: dict[str, Any]) -> dict[str, Any]:
    """One row in words, for the look before it is taken; what is locked is only said to be there."""
    return {
        **{name: row[name] for name in HOUSEHOLD_HEAD if name not in LOCKED},
        "born": date.fromisoformat(row["birth_date"]) if row["birth_date"] else None,
        "played": Experience(row["experience"]).label if row["experience"] else "",
        "speaks": Language(row["language"]).label if row["language"] else "",
        "locked": any(row[name] for name in LOCKED),
    }


@require_POST
@may("see_children", "keep_children")
def import_act(request: HttpRequest, pk: int) -> HttpResponse:
    table = get_object_or_404(Import, pk=pk, what=Import.What.HOUSEHOLDS)
    act_on(request, table, _undone)
    return redirect("household-import-one", pk)


def _undone(count: int) -> str:
    words = ngettext(
        "%(n)d child removed. The import is undone.", "%(n)d children removed. The import is undone.", count
    )
    return words % {"n": count}
