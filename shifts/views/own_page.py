"""A volunteer's own page and calendar feed, by signed link."""

from collections.abc import Callable
from functools import wraps

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from core import clock, links
from core.access import may
from core.actions import action_of
from core.link_pages import link_problem, subject_of
from core.refusal import Refusal
from outbox.rules.calendar_part import calendar_feed
from people.models import AddressChange, Volunteer
from shifts.forms.own_page import ProfileForm, TimeForm, time_initial
from shifts.models import Away
from shifts.queries import own_page as queries
from shifts.services import own_page as services
from shifts.services import profile as who
from shifts.services.eligibility import leave

GONE = gettext_lazy("This person is no longer a volunteer.")

View = Callable[..., HttpResponse]


def for_volunteer(view: View) -> View:
    """Hand the link's volunteer to the view."""

    @wraps(view)
    def inner(request: HttpRequest, token: str) -> HttpResponse:
        try:
            volunteer = subject_of(request, "me", token, Volunteer.objects.active(), str(GONE))
        except links.LinkProblem as problem:
            return link_problem(request, problem)
        return view(request, volunteer=volunteer, token=token)

    return inner


def own_action(view: View) -> View:
    """An action of the link's volunteer on this page; a GET of its address is sent on to the page (see action_of)."""
    return for_volunteer(action_of("own-page", "token")(view))


def _show(
    request: HttpRequest,
    volunteer: Volunteer,
    token: str,
    *,
    form: TimeForm | None = None,
    details: ProfileForm | None = None,
) -> HttpResponse:
    """The page as it is, or with a form as it was typed and why it was refused."""
    today, away = clock.today(), _away(volunteer)
    form = form or TimeForm(initial=time_initial(volunteer), away=away)
    details = details or ProfileForm(initial=_known(volunteer))
    page = queries.own_page(volunteer, clock.now(), today)
    context = {
        "volunteer": volunteer,
        "token": token,
        "page": page,
        "form": form,
        "details": details,
        "away": away,
        "today": today,
    }
    return render(request, "shifts/own_page.html", context, status=422 if form.errors or details.errors else 200)


def _away(volunteer: Volunteer) -> list[Away]:
    return list(Away.objects.filter(volunteer=volunteer, last_day__gte=clock.today()))


def _known(volunteer: Volunteer) -> dict[str, str]:
    return {"name": volunteer.name, "email": volunteer.email, "home_area": volunteer.home_area}


@require_safe
@for_volunteer
def own_page(request: HttpRequest, volunteer: Volunteer, token: str) -> HttpResponse:
    return _show(request, volunteer, token)


@own_action
def times(request: HttpRequest, volunteer: Volunteer, token: str) -> HttpResponse:
    form = TimeForm(request.POST, away=_away(volunteer))
    if form.is_valid():
        try:
            facts = form.facts(set(request.POST.getlist("keep")))
            services.save_time(volunteer=volunteer, facts=facts)
            messages.success(request, gettext("Saved. Thank you!"))
            return redirect("own-page", token)
        except Refusal as refusal:
            refusal.show_on(form)
    return _show(request, volunteer, token, form=form)


@own_action
def details(request: HttpRequest, volunteer: Volunteer, token: str) -> HttpResponse:
    form = ProfileForm(request.POST, initial=_known(volunteer))
    if form.is_valid() and _save_details(request, volunteer, form):
        return redirect("own-page", token)
    return _show(request, volunteer, token, details=form)


def _save_details(request: HttpRequest, volunteer: Volunteer, form: ProfileForm) -> bool:
    data = form.cleaned_data
    try:
        who.save_details(volunteer=volunteer, name=data["name"], home_area=data["home_area"])
        messages.success(request, gettext("Saved. Thank you!"))
        if data["email"].casefold() != volunteer.email.casefold():
            who.ask_new_address(volunteer=volunteer, email=data["email"], now=clock.now())
            text = gettext("We’re emailing %(email)s. Open that email to confirm the address.")
            messages.warning(request, text % {"email": data["email"]})
    except Refusal as refusal:
        refusal.show_on(form)
        return False
    return True


@own_action
def feed_renew(request: HttpRequest, volunteer: Volunteer, token: str) -> HttpResponse:
    services.renew_feed(volunteer=volunteer)
    messages.success(request, gettext("Your calendar has a new link. The old link no longer works."))
    return redirect("own-page", token)


@own_action
def leaving(request: HttpRequest, volunteer: Volunteer, token: str) -> HttpResponse:
    if request.POST.get("sure"):
        leave(volunteer=volunteer, today=clock.today(), now=clock.now())
        return render(request, "shifts/own_page_left.html", {"volunteer": volunteer})
    messages.error(request, gettext("Nothing changed. Check the box if you’re sure."))
    return redirect("own-page", token)


@require_http_methods(["GET", "HEAD", "POST"])
def address_confirm(request: HttpRequest, token: str) -> HttpResponse:
    """A new email address says that it is theirs."""
    rows = AddressChange.objects.select_related("volunteer").filter(volunteer__left_on=None)
    try:
        change = subject_of(request, "address", token, rows, str(GONE))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    refusal = None
    if request.method == "POST":
        try:
            who.confirm_new_address(change=change, now=clock.now())
            return redirect("address-confirm", token)
        except Refusal as problem:
            refusal = problem
    context = {"change": change, "refusal": refusal}
    return render(request, "shifts/address_confirm.html", context, status=409 if refusal else 200)


@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar feed; an address that was renewed or never given answers with no calendar."""
    try:
        volunteer = subject_of(request, "feed", token, Volunteer.objects.active(), str(GONE), "feed_counter")
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    name = gettext("%(organization)s shifts") % {"organization": settings.ORGANISATION}
    body = calendar_feed(name, queries.feed_events(volunteer, clock.now()))
    return HttpResponse(body, content_type="text/calendar; charset=utf-8")


@require_POST
@may("keep_volunteers")
def send(request: HttpRequest, pk: int) -> HttpResponse:
    volunteer = get_object_or_404(Volunteer.objects.active(), pk=pk)
    services.send_own_page(volunteer=volunteer, now=clock.now())
    messages.success(request, gettext("We’re emailing %(name)s the link to their page.") % {"name": volunteer})
    return redirect("volunteer", pk)
