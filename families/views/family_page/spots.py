"""Spots that are held or offered: yes, no, given up; on the family's page and by the link of one offer."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from core import clock, links
from core.languages import in_language, speak
from core.link_pages import subject_of
from core.refusal import Refusal
from families.formatting import refusal_words
from families.models import Guardian, Spot, SpotState
from families.services import family_page as services
from families.services.spots import answer_offer, end_spot
from families.views.family_page.guardians import family_action, family_link_problem
from families.views.family_page.page import show_page


def _own_spot(guardian: Guardian, pk: int) -> Spot:
    rows = Spot.objects.select_related("clinic__center", "guardian", "child")
    return get_object_or_404(rows, pk=pk, guardian=guardian)


def _must_be_ahead(row: Spot) -> None:
    """Of a clinic that is over nothing is given up any more, however long the page was left open."""
    if row.clinic.ends_at <= clock.now():
        raise Refusal.because("over", gettext("This clinic is over, so its spots can’t be changed."))


def _settled(
    request: HttpRequest, guardian: Guardian, token: str, settle: Callable[[], object], thanks: str
) -> HttpResponse:
    """Back to the page with thanks, or the page with why not."""
    try:
        settle()
    except Refusal as refusal:
        return show_page(request, guardian, token, refused=[words for _, words in refusal_words(refusal)])
    messages.success(request, thanks)
    return redirect("family-page", token)


@family_action("family-page")
def give_up(request: HttpRequest, guardian: Guardian, token: str, spot: int) -> HttpResponse:
    row = _own_spot(guardian, spot)

    def settle() -> None:
        _must_be_ahead(row)
        end_spot(spot=row, because="given up by the guardian", now=clock.now())

    thanks = gettext("You gave up the spot. Thank you! Another child can have it now.")
    if row.state == SpotState.WAITING:
        words = gettext("%(child)s is off the waiting list. Thank you for letting us know.")
        thanks = words % {"child": row.child.given_name}
    return _settled(request, guardian, token, settle, thanks)


@family_action("family-page")
def yes(request: HttpRequest, guardian: Guardian, token: str, spot: int) -> HttpResponse:
    row = _own_spot(guardian, spot)
    thanks = gettext("The spot is yours. See you there!")
    return _settled(request, guardian, token, lambda: services.take_offer(spot=row, now=clock.now()), thanks)


@family_action("family-page")
def no(request: HttpRequest, guardian: Guardian, token: str, spot: int) -> HttpResponse:
    row = _own_spot(guardian, spot)

    def settle() -> None:
        _must_be_ahead(row)
        answer_offer(spot=row, yes=False, now=clock.now())

    thanks = gettext("Thank you for letting us know. Another child can have the spot.")
    return _settled(request, guardian, token, settle, thanks)


@require_http_methods(["GET", "HEAD", "POST"])
@in_language
def spot_answer(request: HttpRequest, token: str) -> HttpResponse:
    """One question: would the child like the spot that came free?"""
    rows = Spot.objects.select_related("clinic__center", "child", "guardian").prefetch_related("clinic__bands")
    rows = rows.filter(guardian__isnull=False, guardian__forgotten_at__isnull=True)
    try:
        row = subject_of(request, "spot", token, rows, "This spot is no longer on file.")
    except links.LinkProblem as problem:
        return family_link_problem(request, problem)
    assert row.guardian is not None
    return speak(request, row.guardian.language, lambda: _spot_page(request, row, token))


def _spot_page(request: HttpRequest, row: Spot, token: str) -> HttpResponse:
    refused: list[str] = []
    answer = request.POST.get("answer", "") if request.method == "POST" else ""
    guardian = row.guardian
    assert guardian is not None
    try:
        if answer == "yes":
            services.take_offer(spot=row, now=clock.now())
            return redirect("spot-answer", token)
        if answer == "no":
            answer_offer(spot=row, yes=False, now=clock.now())
            # The spot is no longer theirs, so its link is over: the answer stands on this page.
            return render(request, "families/family_page/spot_thanks.html", {"guardian": guardian})
    except Refusal as refusal:
        refused = [words for _, words in refusal_words(refusal)]
        row.refresh_from_db()
    clinic = row.clinic
    context = {
        "row": row,
        "clinic": clinic,
        "center": clinic.center,
        "guardian": guardian,
        "refused": refused,
        "today": clock.today(clinic.center.tz),
        "answer_by": row.answer_by.astimezone(clinic.center.tz) if row.answer_by else None,
        "tz": clinic.center.tz,
    }
    return render(request, "families/family_page/spot.html", context, status=409 if refused else 200)
