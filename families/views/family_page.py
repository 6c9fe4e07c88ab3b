"""The family's own page by signed link, in the guardian's language. A GET shows; only a POST changes."""

from collections.abc import Callable
from datetime import date
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from core import clock, links
from core.languages import SPOKEN, in_language, speak
from core.link_pages import STATUS, subject_of
from core.refusal import Refusal
from families.formatting import refusal_words, show_refusal
from families.forms.family_page import AddressForm, WhoForm
from families.letters.families import FAMILY_REMINDERS, family_link_address
from families.letters.family_requests import copy_link, copy_stands
from families.models import FamilyRequest, Guardian, GuardianAddress, Place, Waiver
from families.queries.family_page import family_page
from families.services import family_facts as people_services
from families.services import family_page as services
from families.services.merge import confirm_household
from families.services.places import answer_offer, end_place
from outbox.views.stop import stopping

__all__ = ["family_link_problem", "for_guardian", "known_guardians", "speak"]

GONE = "This family is no longer in our books."


def known_guardians() -> Any:
    return Guardian.objects.filter(forgotten_at__isnull=True)


def family_link_problem(request: HttpRequest, problem: links.LinkProblem) -> HttpResponse:
    """What to do about a link that can't be used, in the browser's language: whose it was is not known."""
    return render(request, "families/family_page/link_problem.html", {"problem": problem}, status=STATUS[problem.code])


def for_guardian(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Hand the link's guardian to the view; one whose address has not answered yet sees only that question."""

    @in_language
    @wraps(view)
    def inner(request: HttpRequest, token: str, **more: Any) -> HttpResponse:
        try:
            guardian = subject_of(request, "family", token, known_guardians(), GONE)
        except links.LinkProblem as problem:
            return family_link_problem(request, problem)
        if not guardian.confirmed:
            return speak(request, guardian.language, lambda: _confirm(request, guardian, token))
        return speak(request, guardian.language, lambda: view(request, guardian=guardian, token=token, **more))

    return inner


def _confirm(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    asked = request.POST.get("ask", "")
    if request.method == "POST" and asked == "language":
        _save_language(request, guardian)
        return redirect("family-page", token)
    if request.method == "POST" and asked == "confirm":
        known = confirm_household(guardian=guardian, now=clock.now())
        if known.pk != guardian.pk:
            # The household that was here before: its own link, never shown before this address has answered.
            return redirect(family_link_address(known, clock.now()))
        return redirect("family-page", token)
    return render(request, "families/family_page/confirm.html", {"guardian": guardian, "token": token})


def _save_language(request: HttpRequest, guardian: Guardian) -> None:
    wanted = request.POST.get("language", "")
    if wanted in SPOKEN:
        people_services.save_language(guardian=guardian, language=wanted)


@require_http_methods(["GET", "HEAD", "POST"])
@for_guardian
def page(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    who = WhoForm(initial={"name": guardian.name, "phone": guardian.phone})
    address = AddressForm(initial={"email": guardian.email})
    refused: list[str] = []
    if request.method == "POST":
        asked = request.POST.get("ask", "")
        try:
            if asked == "who":
                who = WhoForm(request.POST)
                done = who.is_valid() and _who(request, guardian, who)
            elif asked == "address":
                address = AddressForm(request.POST)
                done = address.is_valid() and _address(request, guardian, address)
            else:
                done = ASKED[asked](request, guardian) if asked in ASKED else True
            if done:
                return redirect("family-page", token)
        except Refusal as refusal:
            refused = [words for _, words in refusal_words(refusal)]
    page = family_page(guardian, clock.now())
    context = {
        "guardian": guardian,
        "token": token,
        "who": who,
        "address": address,
        "refused": refused,
        "page": page,
        "copy": next((copy_link(row) for row in page.requests if copy_stands(row, clock.now())), ""),
        "today": clock.today(),
    }
    status = 422 if who.errors or address.errors else 409 if refused else 200
    return render(request, "families/family_page/page.html", context, status=status)


def _who(request: HttpRequest, guardian: Guardian, form: WhoForm) -> bool:
    data = form.cleaned_data
    try:
        people_services.save_guardian(guardian=guardian, name=data["name"], phone=data["phone"])
    except Refusal as refusal:
        show_refusal(refusal, form)
        return False
    messages.success(request, gettext("Saved. Thank you for telling us."))
    return True


def _address(request: HttpRequest, guardian: Guardian, form: AddressForm) -> bool:
    email = form.cleaned_data["email"]
    if email.casefold() != guardian.email.casefold():
        services.ask_guardian_address(guardian=guardian, email=email, now=clock.now())
        words = gettext("We have written to %(email)s: open that mail to confirm the address.")
        messages.warning(request, words % {"email": email})
    return True


def _own_place(request: HttpRequest, guardian: Guardian) -> Place:
    number = request.POST.get("place", "")
    if not number.isascii() or not number.isdigit() or len(number) > 15:
        raise Http404
    return get_object_or_404(
        Place.objects.select_related("clinic__center", "guardian", "child"), pk=int(number), guardian=guardian
    )


def _coming_place(request: HttpRequest, guardian: Guardian) -> Place:
    """Of a clinic that is over nothing is given up any more, however long the page was left open."""
    row = _own_place(request, guardian)
    if row.clinic.ends_at <= clock.now():
        raise Refusal.because("over", "This clinic is over, so its places stay as they were.")
    return row


def _give_up(request: HttpRequest, guardian: Guardian) -> bool:
    end_place(place=_coming_place(request, guardian), because="given up by the guardian", now=clock.now())
    messages.success(request, gettext("The place is given up. Thank you: another child can have it."))
    return True


def _yes(request: HttpRequest, guardian: Guardian) -> bool:
    services.take_offer(place=_own_place(request, guardian), now=clock.now())
    messages.success(request, gettext("The place is yours. We look forward to it."))
    return True


def _no(request: HttpRequest, guardian: Guardian) -> bool:
    answer_offer(place=_coming_place(request, guardian), yes=False, now=clock.now())
    messages.success(request, gettext("Thank you for answering: another child can have the place."))
    return True


def _language(request: HttpRequest, guardian: Guardian) -> bool:
    _save_language(request, guardian)
    return True


def _reminders(request: HttpRequest, guardian: Guardian) -> bool:
    people_services.save_reminders(guardian=guardian, wanted=request.POST.get("wanted") == "yes")
    messages.success(request, gettext("Saved. Thank you for telling us."))
    return True


def _request(request: HttpRequest, guardian: Guardian) -> bool:
    what = request.POST.get("what", "")
    if what in FamilyRequest.What.values:
        services.ask_request(guardian=guardian, what=what, now=clock.now())
        messages.success(request, gettext("We have your request. A person of ours looks at it and answers you."))
    return True


def _new_link(request: HttpRequest, guardian: Guardian) -> bool:
    services.revoke_family_links(guardian=guardian, now=clock.now())
    return True


ASKED: dict[str, Callable[[HttpRequest, Guardian], bool]] = {
    "give up": _give_up,
    "yes": _yes,
    "no": _no,
    "language": _language,
    "reminders": _reminders,
    "request": _request,
    "new link": _new_link,
}


@require_safe
@for_guardian
def signed(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    """What this guardian signed, word for word, for printing."""
    rows = Waiver.objects.select_related("text", "child")
    row = get_object_or_404(rows, pk=pk, guardian=guardian, child__guardianships__guardian=guardian)
    # The year is written whatever the year of reading: a signature is kept for long.
    context = {"row": row, "token": token, "zone": clock.home_zone(), "with_year": date.min}
    return render(request, "families/family_page/signed.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_language
def place_answer(request: HttpRequest, token: str) -> HttpResponse:
    """One question: would the child like the place that came free?"""
    rows = Place.objects.select_related("clinic__center", "child", "guardian").prefetch_related("clinic__bands")
    rows = rows.filter(guardian__isnull=False, guardian__forgotten_at__isnull=True)
    try:
        row = subject_of(request, "place", token, rows, "This place is no longer in our books.")
    except links.LinkProblem as problem:
        return family_link_problem(request, problem)
    assert row.guardian is not None
    return speak(request, row.guardian.language, lambda: _place_page(request, row, token))


def _place_page(request: HttpRequest, row: Place, token: str) -> HttpResponse:
    refused: list[str] = []
    answer = request.POST.get("answer", "") if request.method == "POST" else ""
    guardian = row.guardian
    assert guardian is not None
    try:
        if answer == "yes":
            services.take_offer(place=row, now=clock.now())
            return redirect("place-answer", token)
        if answer == "no":
            answer_offer(place=row, yes=False, now=clock.now())
            # The place is no longer theirs, so its link is over: the answer stands on this page.
            return render(request, "families/family_page/place_thanks.html", {"guardian": guardian})
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
    return render(request, "families/family_page/place.html", context, status=409 if refused else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@in_language
def address(request: HttpRequest, token: str) -> HttpResponse:
    """A new mail address says that it is theirs."""
    rows = GuardianAddress.objects.select_related("guardian").filter(guardian__forgotten_at__isnull=True)
    try:
        change = subject_of(request, "family-address", token, rows, GONE)
    except links.LinkProblem as problem:
        return family_link_problem(request, problem)
    return speak(request, change.guardian.language, lambda: _address_page(request, change, token))


def _address_page(request: HttpRequest, change: GuardianAddress, token: str) -> HttpResponse:
    refused: list[str] = []
    if request.method == "POST":
        try:
            services.confirm_guardian_address(change=change, now=clock.now())
            return redirect("family-address", token)
        except Refusal as refusal:
            refused = [words for _, words in refusal_words(refusal)]
    context = {"change": change, "refused": refused}
    return render(request, "families/family_page/address.html", context, status=409 if refused else 200)


def _stop_page(request: HttpRequest, guardian: Guardian) -> HttpResponse:
    context = {"guardian": guardian}
    return speak(request, guardian.language, lambda: render(request, "families/family_page/stop.html", context))


stop = in_language(
    stopping(
        FAMILY_REMINDERS,
        rows=known_guardians,
        gone=GONE,
        end=lambda guardian: people_services.save_reminders(guardian=guardian, wanted=False),
        page=_stop_page,
        problem=family_link_problem,
    )
)
