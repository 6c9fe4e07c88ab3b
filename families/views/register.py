"""Public registration: the coming clinics, the form, what became of it, and the way back to the family's page."""

from datetime import datetime, timedelta
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from clinics.models import Center, Clinic, Status
from core import clock, limits, links
from core.client_ip import caller_address
from core.languages import in_language
from core.link_pages import link_problem
from core.parsing import row_named
from core.refusal import Refusal
from core.theme import render_at
from families.forms.household import FamilyLinkForm
from families.forms.registering import RegistrationForms
from families.forms.registering_changes import changed
from families.models import Registration, WaiverText
from families.queries.spots import (
    asked_spots,
    centers_open_to_families,
    next_fitting,
    open_to_families,
    with_spots,
)
from families.queries.waiver_texts import current_text
from families.services.links import ask_family_link, family_address
from families.services.registering import register

__all__ = ["register_clinic", "register_done", "register_link", "register_start"]

PER_PAGE = 40
# How far ahead a clinic is looked for that fits a child whom this one does not.
LOOK_AT = 60
SENDINGS_AN_HOUR, SENDINGS_A_DAY = 20, 5
HOUR, DAY = 3600, 86400
AGES = {"too young", "too old", "between"}


@require_http_methods(["GET", "HEAD", "POST"])
@in_language
def register_start(request: HttpRequest) -> HttpResponse:
    """Coming clinics, never a name. A POST asks for the link to a family's page and answers everybody alike."""
    now = clock.now()
    form = FamilyLinkForm(request.POST if request.method == "POST" else None)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            email = form.cleaned_data["email"]
            if _may_send(request, "family link", email):
                ask_family_link(email, now)
                return redirect(f"{reverse('register-link')}?in={get_language()}")
            form.add_error(None, _too_often())
            status = 429
    chosen = _center(request)
    rows = open_to_families(now)
    page = Paginator(rows.filter(center=chosen) if chosen else rows, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "today": clock.today(),
        "page": page,
        "coming": with_spots(page.object_list),
        "centers": centers_open_to_families(now),
        "chosen": chosen,
        "form": form,
        "open": current_text(get_language() or "en") is not None,
    }
    return render(request, "families/register.html", context, status=status)


@require_safe
@in_language
def register_link(request: HttpRequest) -> HttpResponse:
    return render(request, "families/register_link.html")


@require_http_methods(["GET", "HEAD", "POST"])
@in_language
def register_clinic(request: HttpRequest, pk: int) -> HttpResponse:
    """The form for one clinic. Everything typed stays, whatever is said about it."""
    clinic = get_object_or_404(Clinic.objects.select_related("center").prefetch_related("bands"), pk=pk)
    now, language = clock.now(), get_language() or "en"
    text = current_text(language)
    closed = _closed(clinic, now)
    if text is None or (closed and request.method != "POST"):
        context = {"clinic": clinic, "closed": closed}
        return render(request, "families/register_closed.html", context, status=410 if closed else 200)
    today = clock.today(clinic.center.tz)
    if request.method != "POST":
        return _form_page(request, clinic, RegistrationForms(None, today=today), text)
    again = changed(request.POST)
    if again is not None:
        return _form_page(request, clinic, RegistrationForms(again, today=today, check=False), text)
    forms, status = RegistrationForms(request.POST, today=today), 422
    if forms.is_valid():
        registration, status = _send(request, clinic, forms, text, now)
        if registration is not None:
            return redirect(f"{_done_address(registration)}?in={language}")
    return _form_page(request, clinic, forms, text, status)


def _send(
    request: HttpRequest, clinic: Clinic, forms: RegistrationForms, text: WaiverText, now: datetime
) -> tuple[Registration | None, int]:
    """The registration, or what stands against it put on the forms, with the status to answer."""
    before = Registration.objects.select_related("clinic", "guardian").filter(once=forms.once).first()
    if before is not None:
        return before, 302
    if forms.household.cleaned_data["website"]:
        # A program filled in what people can't see. Some browsers do so too, and a family must not be lost to that.
        forms.show(None, _("A hidden field was filled in, maybe by your browser. Please send the form again."))
        return None, 422
    if request.POST.get("text") != str(text.pk):
        forms.show("signed", _("The waiver changed after you opened this page. Please read it and sign again."))
        return None, 422
    email = forms.household.cleaned_data["email"]
    if not _may_send(request, "registration", email):
        forms.show(None, _too_often())
        return None, 429
    try:
        facts = forms.facts(language=get_language() or "en", text=text, came_from=caller_address(request))
        registered = register(clinic=clinic, facts=facts, once=forms.once, now=now)
        if registered.again:
            _give_back(request, "registration", email)
        return registered.registration, 302
    except Refusal as refusal:
        _give_back(request, "registration", email)
        for reason in refusal.reasons:
            forms.show(reason.field, reason.text)
        if AGES & refusal.codes:
            _say_where_they_fit(forms, clinic, now)
        return None, 422


def _say_where_they_fit(forms: RegistrationForms, clinic: Clinic, now: datetime) -> None:
    coming = with_spots(open_to_families(now)[:LOOK_AT])
    for child in forms.children:
        if "birth_date" in child.errors:
            born = child.fields["birth_date"].clean(child["birth_date"].value())
            child.fits_at = next_fitting(coming, born, but_for=clinic)
            child.fits_nowhere = child.fits_at is None


def _form_page(
    request: HttpRequest, clinic: Clinic, forms: RegistrationForms, text: WaiverText, status: int = 200
) -> HttpResponse:
    pressed = request.POST.get("add", "")
    context = {
        "clinic": clinic,
        "center": clinic.center,
        "today": clock.today(clinic.center.tz),
        "coming": with_spots([clinic])[0],
        "forms": forms,
        "text": text,
        "added": pressed,
    }
    return render_at(clinic.center.tz, request, "families/register_clinic.html", context, status)


@require_safe
@in_language
def register_done(request: HttpRequest, token: str) -> HttpResponse:
    """What became of one sending. The address says nothing of anybody, and opening it changes nothing."""
    now = clock.now()
    try:
        facts = links.read("registered", token, now=now, caller=caller_address(request))
        rows = Registration.objects.select_related("clinic__center", "guardian").prefetch_related("clinic__bands")
        row = rows.filter(pk=facts.subject).first()
        if row is None:
            raise links.RevokedLink("This registration is no longer on file.")
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    guardian = row.guardian
    # Only to somebody whom no mail reaches, and only while that family's link has not been replaced: an address is
    # not proven by typing it, so a mail alone opens the page behind it.
    mine = not guardian.email and guardian.link_counter == facts.counter
    context: dict[str, Any] = {
        "clinic": row.clinic,
        "center": row.clinic.center,
        "today": clock.today(row.clinic.center.tz),
        "spots": asked_spots(row),
        "mailed": bool(guardian.email),
        "family_page": family_address(guardian, now) if mine else "",
        "over": row.clinic.starts_at <= now,
    }
    return render_at(row.clinic.center.tz, request, "families/register_done.html", context)


def _done_address(registration: Registration) -> str:
    token = links.make(
        "registered",
        subject=registration.pk,
        counter=registration.guardian.link_counter,
        expires_at=registration.clinic.ends_at + timedelta(days=1),
    )
    return reverse("register-done", args=[token])


def _closed(clinic: Clinic, now: datetime) -> str:
    """Why families can't register, as the page words it; "" when they can."""
    if clinic.status == Status.CANCELLED:
        return "cancelled"
    if clinic.status != Status.CONFIRMED or not clinic.takes_families or not clinic.bands.all():
        return "not open"
    return "begun" if clinic.starts_at <= now else ""


def _center(request: HttpRequest) -> Center | None:
    return row_named(Center.objects.all(), request.GET.get("center", ""))


def _may_send(request: HttpRequest, what: str, email: str) -> bool:
    """Counts this sending; the same for an address that is in our books and for one that is not."""
    caller = limits.take(f"{what} by caller", caller_address(request), most=SENDINGS_AN_HOUR, seconds=HOUR)
    mail = not email or limits.take(f"{what} by mail", email.casefold(), most=SENDINGS_A_DAY, seconds=DAY)
    return caller and mail


def _give_back(request: HttpRequest, what: str, email: str) -> None:
    limits.give_back(f"{what} by caller", caller_address(request))
    if email:
        limits.give_back(f"{what} by mail", email.casefold())


def _too_often() -> str:
    return _("You’ve sent this several times. Wait an hour and try again, or call us.")
