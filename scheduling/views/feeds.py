"""Calendar feeds by private address, and the pages on which staff copy or renew that address."""

from hashlib import sha256

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext, gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from clinics.models import Center
from core import clock, links
from core.access import may
from core.client_ip import caller_address
from core.link_pages import link_problem, subject_of
from outbox.rules.calendar_part import calendar_feed
from scheduling.models import OfficeFeed
from scheduling.queries import feeds as queries
from scheduling.services import feeds as services

RENEWED = gettext_lazy("This calendar has a new link. The old link no longer works.")


def calendar_response(request: HttpRequest, body: bytes) -> HttpResponseBase:
    """A feed, or 304 when the caller has it as it is. Nobody between us and the caller may keep it."""
    etag = f'"{sha256(body).hexdigest()[:32]}"'
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return get_conditional_response(request, etag=etag, response=response) or response


@require_safe
def center_ics(request: HttpRequest, token: str) -> HttpResponseBase:
    """The center's calendar, for the center's contact."""
    try:
        rows = Center.objects.active()
        center = subject_of(
            request, "center-feed", token, rows, gettext("We no longer run clinics here."), "feed_counter"
        )
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    title = gettext("%(organization)s at %(center)s") % {
        "organization": settings.ORGANISATION,
        "center": center.name,
    }
    body = calendar_feed(title, queries.center_events(center, clock.now()))
    return calendar_response(request, body)


@require_safe
def office_ics(request: HttpRequest, token: str) -> HttpResponseBase:
    """All clinics, for staff."""
    try:
        facts = links.read("office-feed", token, now=clock.now(), caller=caller_address(request))
        facts.check_counter(OfficeFeed.current().feed_counter)
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    return calendar_response(request, calendar_feed(settings.ORGANISATION, queries.office_events(clock.now())))


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep_centers")
def center_feed(request: HttpRequest, pk: int) -> HttpResponse:
    center = get_object_or_404(Center, pk=pk)
    if request.method == "POST":
        services.renew_center_feed(center=center)
        messages.success(request, RENEWED)
        return redirect("center-feed", pk)
    context = {"here": "centers", "center": center, "address": queries.center_feed_address(center, clock.now())}
    return render(request, "scheduling/feed.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("book_clinics")
def office_feed(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        services.renew_office_feed()
        messages.success(request, RENEWED)
        return redirect("office-feed")
    return render(
        request, "scheduling/feed.html", {"here": "clinics", "address": queries.office_feed_address(clock.now())}
    )
