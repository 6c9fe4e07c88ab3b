"""Activities in from a CSV file: upload, check, import, undo."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock
from core.access import may
from core.refusal import Refusal
from people.access import account
from runsheets.forms.activities import ActivityFileForm
from runsheets.models import Activity, ActivityTable
from runsheets.rules.activity_rows import ACTIVITY_HEAD
from runsheets.services.activity_tables import check_size, read_table, take_table, undo_table
from runsheets.words.activities import row_words


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def table_new(request: HttpRequest) -> HttpResponse:
    form = ActivityFileForm(request.POST, request.FILES) if request.method == "POST" else ActivityFileForm()
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            check_size(file.size)
            row = read_table(name=file.name, raw=file.read(), by=account(request), now=clock.now())
            return redirect("activity-table", row.pk)
        except Refusal as refusal:
            refusal.show_on(form)
    context = {
        "here": "clinics",
        "form": form,
        "head": ",".join(ACTIVITY_HEAD),
        "earlier": ActivityTable.objects.defer("rows", "bad", "before").select_related("by")[:10],
    }
    return render(request, "runsheets/activity_import.html", context, status=422 if form.errors else 200)


@require_safe
@may("book_clinics")
def table(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ActivityTable.objects.select_related("by"), pk=pk)
    codes = [line["code"] for line in row.rows if line["code"]] if row.state == ActivityTable.State.READ else row.made
    links = dict(Activity.objects.filter(code__in=codes).values_list("code", "pk"))
    made = row.made or [line["code"] for line in row.rows]
    kinds = dict(Activity.Kind.choices)
    context = {
        "here": "clinics",
        "table": row,
        "changed": len(row.rows) - row.new,
        "lines": [
            (line, kinds.get(line["facts"]["kind"], line["facts"]["kind"]), links.get(code))
            for line, code in zip(row.rows, made, strict=True)
        ],
        "bad": [one | {"reasons": row_words(one["reasons"])} for one in row.bad],
    }
    return render(request, "runsheets/activity_table.html", context)


@require_POST
@may("book_clinics")
def table_act(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ActivityTable, pk=pk)
    try:
        if request.POST.get("act") == "take":
            row = take_table(table=row, by=account(request), now=clock.now())
            messages.success(request, _imported(row.new, len(row.rows) - row.new))
        elif request.POST.get("act") == "undo":
            count = undo_table(table=row, now=clock.now())
            words = ngettext(
                "Import undone. %(n)d activity is back to how it was.",
                "Import undone. %(n)d activities are back to how they were.",
                count,
            )
            messages.success(request, words % {"n": count})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("activity-table", pk)


def _imported(new: int, changed: int) -> str:
    words = ngettext(
        "%(new)d activity added and %(changed)d updated.", "%(new)d activities added and %(changed)d updated.", new
    )
    return words % {"new": new, "changed": changed}
