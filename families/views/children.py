"""Children as a list and as a table to take away."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from clinics.models import Clinic
from core import clock
from core.access import may
from core.csv_out import csv_answer
from core.parsing import row_named
from families.models import Child
from families.models.children import ChildQuerySet
from families.queries.children import CSV_HEAD, at_clinic, child_lines, clinics_to_choose, csv_rows
from families.queries.waivers import after, children_like, count_up_to
from families.words.waivers import WAIVER_FILTERS

PER_PAGE = 50
COUNTED = 1000
# Where the name that someone looks for is kept: addresses end up in the records of servers and proxies.
LOOKED_FOR = "name of the child looked for"


@require_http_methods(["GET", "HEAD", "POST"])
@may("see_children")
def child_list(request: HttpRequest) -> HttpResponse:
    """The list. A name to look for is sent by POST and kept in the session, so that no address holds it."""
    if request.method == "POST":
        return _look_for(request)
    today, now = clock.today(), clock.now()
    rows, chosen = _asked_for(request)
    counted = count_up_to(rows, COUNTED)
    # A page begins behind the last child of the one before it.
    behind = _behind(request.GET.get("after", ""))
    paged = behind is not None
    shown = after(rows, *behind) if behind is not None else rows
    page = list(shown.defer("allergies", "care_notes")[: PER_PAGE + 1])
    more = len(page) > PER_PAGE
    page = page[:PER_PAGE]
    return render(
        request,
        "families/children.html",
        {
            "here": "children",
            "today": today,
            "lines": child_lines(page, today, now),
            "counted": counted,
            "paged": paged,
            "last": page[-1] if more else None,
            "clinics": clinics_to_choose(now),
            "waivers": WAIVER_FILTERS,
            **chosen,
            "may_keep": request.user.has_perm("people.keep_children"),
            "may_text": request.user.has_perm("people.keep_waivers"),
        },
    )


@require_safe
@may("see_children", "keep_children")
def children_csv(request: HttpRequest) -> HttpResponse:
    """The list as it is filtered, without anything that is locked."""
    today = clock.today()
    rows, _ = _asked_for(request)
    return csv_answer(f"children-{today}.csv", CSV_HEAD, csv_rows(rows, today, clock.now()))


def _look_for(request: HttpRequest) -> HttpResponse:
    words = request.POST.get("q", "").replace("\x00", "").strip()[:100]
    request.session[LOOKED_FOR] = words
    asked = {"named": "1" if words else "", "waiver": request.POST.get("waiver"), "clinic": request.POST.get("clinic")}
    kept = urlencode({name: value for name, value in asked.items() if value})
    return redirect(f"{reverse('children')}{f'?{kept}' if kept else ''}")


def _behind(number: str) -> tuple[str, int] | None:
    """Name and number of the child behind whom the page begins; an address only ever says the number."""
    row = row_named(Child.objects.only("name"), number)
    return (row.name, row.pk) if row else None


def _asked_for(request: HttpRequest) -> tuple[ChildQuerySet, dict[str, object]]:
    words = str(request.session.get(LOOKED_FOR, "")) if request.GET.get("named") else ""
    waiver = request.GET.get("waiver", "")
    waiver = waiver if waiver in dict(WAIVER_FILTERS) else ""
    clinic = row_named(Clinic.objects.select_related("center"), request.GET.get("clinic", ""))
    rows: ChildQuerySet = children_like(words=words, waiver=waiver, today=clock.today())
    if clinic is not None:
        rows = at_clinic(rows, clinic)
    filtered = bool(words or waiver or clinic)
    some = filtered and Child.objects.known().exists()
    return rows, {"words": words, "waiver": waiver, "clinic": clinic, "filtered": filtered and some}
