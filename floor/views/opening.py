"""Opening the floor page on a phone: by an emailed link or by an account; and releasing a phone in the office."""

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core import clock, links
from core.access import may
from core.client_ip import caller_address
from core.formats import long_day
from core.link_pages import link_problem, subject_of
from core.references import reference
from core.refusal import Refusal
from floor.models import FloorPhone, FloorStandIn
from floor.queries.phones import open_by_link
from floor.services.mailing import mail_floor_link
from floor.services.phones import open_phone, release_phone
from floor.views.phone import remember
from floor.words import name_of_phone, whose_phone
from people.access import account
from people.models import Volunteer
from shifts.models import Assignment

__all__ = ["floor_mail", "floor_open", "floor_open_here", "floor_open_stand_in", "floor_release"]


@require_http_methods(["GET", "HEAD", "POST"])
def floor_open(request: HttpRequest, token: str) -> HttpResponse:
    """By the lead's link: a GET asks, a POST opens the page on this phone."""
    try:
        rows = Assignment.objects.on_floor().select_related("shift__clinic__center", "volunteer")
        row = subject_of(request, "floor", token, rows, gettext("You’re no longer on this shift."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    return _by_link(request, row, row.shift.clinic, row.volunteer)


@require_http_methods(["GET", "HEAD", "POST"])
def floor_open_stand_in(request: HttpRequest, token: str) -> HttpResponse:
    """By the link of who stands in for the lead."""
    try:
        rows = FloorStandIn.objects.filter(ended_at__isnull=True).select_related("clinic__center", "volunteer")
        row = subject_of(request, "floor-stand-in", token, rows, gettext("You no longer stand in for the lead."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    return _by_link(request, row, row.clinic, row.volunteer)


@require_POST
@may("see_door", "read_care")
def floor_open_here(request: HttpRequest, pk: int) -> HttpResponse:
    """By the account of the lead: the same page, on the device where they are signed in."""
    clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=pk)
    volunteer = Volunteer.objects.active().filter(email__iexact=account(request).email).first()
    try:
        if volunteer is None:
            raise Refusal.because("not the lead", gettext("Only this clinic’s lead can open the floor page."))
        return _opened(request, clinic, volunteer)
    except Refusal as refusal:
        return _ask(request, clinic, refusal=refusal)


@require_POST
@may("cover_clinics")
def floor_mail(request: HttpRequest, pk: int) -> HttpResponse:
    """The lead's link once more, by mail: the office itself never opens the floor page."""
    clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=pk)
    try:
        note = mail_floor_link(clinic=clinic, now=clock.now())
        messages.success(request, gettext("We’re emailing the floor page link to %(name)s.") % {"name": note.to_name})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic", clinic.pk)


@require_POST
@may("see_children", "cover_clinics")
def floor_release(request: HttpRequest, pk: int, phone: int) -> HttpResponse:
    """A phone that is lost, broken or in the wrong hands: its link opens on another."""
    row = get_object_or_404(FloorPhone, pk=phone, clinic=pk, volunteer__isnull=False)
    facts = {"phone": name_of_phone(row)}
    if release_phone(phone=row, by=account(request), now=clock.now()):
        words = gettext("Released: %(phone)s. The link in the email can be opened on another phone now.")
        messages.success(request, words % facts)
    else:
        messages.success(request, gettext("This phone was already closed: %(phone)s.") % facts)
    return redirect("clinic-day", pk)


def _by_link(request: HttpRequest, row: Model, clinic: Clinic, volunteer: Volunteer) -> HttpResponse:
    link = reference(row)
    if request.method == "POST":
        try:
            return _opened(request, clinic, volunteer, link)
        except Refusal as refusal:
            return _ask(request, clinic, refusal=refusal, link=link)
    return _ask(request, clinic, link=link)


def _ask(request: HttpRequest, clinic: Clinic, *, refusal: Refusal | None = None, link: str = "") -> HttpResponse:
    """The page with the button; ``link`` is "" for an account, which has a button of its own on the clinic's page.

    A phone that has the page open already can't be told from another before it sends: the cookie comes with a POST
    alone. So the page says that the link is open somewhere, and the button goes on if it is here.
    """
    taken = open_by_link(link)
    context = {
        "title": clinic_words(clinic),
        "day": long_day(clinic.day),
        "refusal": refusal,
        "by_link": bool(link),
        "taken": taken if refusal is None else None,
        "whose": whose_phone(taken) if taken is not None else "",
        "tz": clinic.center.tz,
        "shut": refusal is not None and "open already" in refusal.codes,
    }
    return render(request, "floor/open.html", context, status=409 if refusal else 200)


def _opened(request: HttpRequest, clinic: Clinic, volunteer: Volunteer, link: str = "") -> HttpResponse:
    _, secret = open_phone(
        clinic=clinic,
        volunteer=volunteer,
        came_from=caller_address(request) or "127.0.0.1",
        now=clock.now(),
        link=link,
        has=request.COOKIES.get(f"floor{clinic.pk}", "")[:100],
    )
    response = redirect("floor", clinic.pk)
    remember(response, clinic, secret)
    return response
