"""Who could take a shift, asking one of them, and taking somebody off."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from clinics.formatting import children_words
from core import clock
from core.access import may
from core.parsing import row_named
from core.refusal import Refusal
from core.theme import render_at
from people.models import Volunteer
from shifts.models import Assignment, Shift
from shifts.queries.candidates import candidates
from shifts.services import cover

PER_PAGE = 40


@require_safe
@may("cover_clinics")
def who(request: HttpRequest, pk: int) -> HttpResponse:
    shift = get_object_or_404(Shift.objects.select_related("clinic__center").prefetch_related("clinic__bands"), pk=pk)
    clinic = shift.clinic
    today = clock.today(clinic.center.tz)
    everybody = candidates(shift, today)
    page = Paginator(everybody, PER_PAGE).get_page(request.GET.get("page"))
    return render_at(
        clinic.center.tz,
        request,
        "shifts/who.html",
        {
            "here": "clinics",
            "today": today,
            "shift": shift,
            "clinic": clinic,
            "children": children_words(clinic),
            "page": page,
            "could": [c for c in page.object_list if c.can],
            "could_not": [c for c in page.object_list if not c.can],
            "could_count": sum(c.can for c in everybody),
            "everybody": len(everybody),
            "holder": Assignment.objects.live().filter(shift=shift).select_related("volunteer").first(),
            "open": clinic.live and clinic.starts_at > clock.now(),
        },
    )


def chosen(request: HttpRequest, people: QuerySet[Volunteer]) -> Volunteer | None:
    """Whom the form names, if they are among ``people``."""
    return row_named(people, request.POST.get("volunteer", ""))


@require_POST
@may("cover_clinics")
def ask(request: HttpRequest, pk: int) -> HttpResponse:
    shift = get_object_or_404(Shift.objects.select_related("clinic"), pk=pk)
    volunteer = chosen(request, Volunteer.objects.all())
    if volunteer is None:
        messages.error(request, gettext("Choose someone in the list."))
        return redirect("shift-who", pk)
    try:
        cover.ask_volunteer(shift=shift, volunteer=volunteer, now=clock.now())
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect("shift-who", pk)
    messages.success(request, gettext("We’re emailing %(name)s to ask.") % {"name": volunteer})
    return redirect("clinic", shift.clinic_id)


@require_POST
@may("cover_clinics")
def release(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Assignment.objects.select_related("shift__clinic__center", "volunteer"), pk=pk)
    because = request.POST.get("because", "").strip()[:200] or gettext("plans changed")
    try:
        cover.release_volunteer(assignment=row, because=because, now=clock.now())
        text = gettext("%(name)s is off this shift. We’re emailing them.") % {"name": row.volunteer}
        messages.success(request, text)
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic", row.shift.clinic_id)
