"""The sign-in sheet, and the children of a clinic as the office sees them."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.models import Clinic
from core import clock
from core.access import may
from core.theme import render_at
from families import hooks
from families.models import DoorReading
from families.queries.door import band_spots, door_lines, spot_lines, with_twins
from families.queries.door_access import door_is_open, refuse_at_door
from families.rules.care import care_opens
from families.services.care import read_care
from families.services.door import DOOR, DOOR_WITH_CARE, open_door
from people.access import account

# Of who opened the sheet, as many as a page shows.
READINGS_SHOWN = 50


@require_http_methods(["GET", "HEAD", "POST"])
@may("see_door")
def door(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet is opened by a POST, which is written down; until then a GET only asks."""
    clinic, by, now = _clinic(pk), account(request), clock.now()
    refuse_at_door(clinic, by, now)
    if request.method == "POST":
        open_door(clinic=clinic, by=by, what=DOOR, now=now)
        return redirect("clinic-door", pk)
    if not door_is_open(clinic, by, now):
        context = {"here": "clinics", "clinic": clinic}
        return render_at(clinic.center.tz, request, "families/door_ask.html", context)
    return _door(request, clinic, open_now=False)


@require_POST
@may("see_door")
def door_care(request: HttpRequest, pk: int) -> HttpResponse:
    """The same list with allergies and notes in words, each child's reading written down."""
    clinic = _clinic(pk)
    refuse_at_door(clinic, account(request), clock.now())
    return _door(request, clinic, open_now=True)


@require_safe
@may("see_clinics", "see_children")
def clinic_children(request: HttpRequest, pk: int) -> HttpResponse:
    clinic = _clinic(pk)
    held, waiting = spot_lines(clinic)
    context = {
        "here": "clinics",
        "today": clock.today(clinic.center.tz),
        "clinic": clinic,
        "held": held,
        "waiting": waiting,
        "bands": band_spots(clinic),
        "reads": request.user.has_perm("people.read_care"),
        "readings": DoorReading.objects.filter(clinic=clinic)[:READINGS_SHOWN],
        "may_keep": request.user.has_perm("people.keep_children") and clinic.ends_at > clock.now(),
    }
    return render_at(clinic.center.tz, request, "families/clinic_children.html", context)


def _clinic(pk: int) -> Clinic:
    return get_object_or_404(
        Clinic.objects.select_related("center").prefetch_related("bands", "center__contacts"), pk=pk
    )


def _door(request: HttpRequest, clinic: Clinic, *, open_now: bool) -> HttpResponse:
    today = clock.today(clinic.center.tz)
    opens = care_opens(
        reads_care=request.user.has_perm("people.read_care"),
        keeps_records=request.user.has_perm("people.see_children"),
        clinic_day=clinic.day if clinic.live else None,
        today_there=today,
    )
    refused = open_now and not opens
    shows = open_now and opens
    pairs = [pair for some in hooks.perhaps_one.ask(clinic) for pair in some]
    lines = with_twins(door_lines(clinic, with_care=shows), pairs)
    if open_now:
        # Where the notes are refused, the sheet itself is shown all the same.
        open_door(clinic=clinic, by=account(request), what=DOOR_WITH_CARE if opens else DOOR, now=clock.now())
    if shows:
        read_care(
            children=[line.child for line in lines],
            by=account(request),
            where=f"sign-in sheet of clinic {clinic.pk}",
            now=clock.now(),
        )
    context = {
        "here": "clinics",
        "today": today,
        "clinic": clinic,
        "lines": lines,
        "known": sum(line.has_care for line in lines),
        "no_waiver": sum(not line.waiver.ok for line in lines),
        "opens": opens,
        "shows": shows,
        "refused": refused,
        "reads": request.user.has_perm("people.read_care"),
        "may_see": request.user.has_perm("people.see_children"),
        "printed_at": clock.now(),
    }
    answer = render_at(clinic.center.tz, request, "families/door.html", context, status=403 if refused else 200)
    # Names of children, and perhaps what is locked: nothing of it stays in the browser's store.
    answer["Cache-Control"] = "no-store"
    return answer
