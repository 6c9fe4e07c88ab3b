"""Who the guardian is and how we write to them: the first question, language, name, address and reminders."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from core import clock, links
from core.languages import SPOKEN, in_language, speak
from core.link_pages import subject_of
from core.refusal import Refusal
from families.formatting import refusal_words, show_refusal
from families.forms.family_page import AddressForm, WhoForm
from families.letters.families import FAMILY_REMINDERS, family_link_address
from families.models import Guardian, GuardianAddress
from families.services import family_facts
from families.services import family_page as services
from families.services.merge import confirm_household
from families.views.family_page.guardians import GONE, family_action, family_link_problem, known_guardians
from families.views.family_page.page import show_page
from outbox.views.stop import stopping


@family_action("family-page", before_answer=True)
def confirm(_request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    """The answer to the first question: yes, that is me."""
    if not guardian.confirmed:
        known = confirm_household(guardian=guardian, now=clock.now())
        if known.pk != guardian.pk:
            # The household that was here before: its own link, never shown before this address has answered.
            return redirect(family_link_address(known, clock.now()))
    return redirect("family-page", token)


@family_action("family-page", before_answer=True)
def language(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    wanted = request.POST.get("language", "")
    if wanted in SPOKEN:
        family_facts.save_language(guardian=guardian, language=wanted)
    return redirect("family-page", token)


@family_action("family-page")
def who(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    form = WhoForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        try:
            family_facts.save_guardian(guardian=guardian, name=data["name"], phone=data["phone"])
            messages.success(request, gettext("Saved. Thank you!"))
            return redirect("family-page", token)
        except Refusal as refusal:
            show_refusal(refusal, form)
    return show_page(request, guardian, token, who=form)


@family_action("family-page")
def new_address(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    form = AddressForm(request.POST)
    if not form.is_valid():
        return show_page(request, guardian, token, address=form)
    email = form.cleaned_data["email"]
    if email.casefold() != guardian.email.casefold():
        services.ask_guardian_address(guardian=guardian, email=email, now=clock.now())
        words = gettext("We’re emailing %(email)s. Open that email to confirm the address.")
        messages.warning(request, words % {"email": email})
    return redirect("family-page", token)


@family_action("family-page")
def reminders(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    family_facts.save_reminders(guardian=guardian, wanted=request.POST.get("wanted") == "yes")
    messages.success(request, gettext("Saved. Thank you!"))
    return redirect("family-page", token)


@require_http_methods(["GET", "HEAD", "POST"])
@in_language
def address_answer(request: HttpRequest, token: str) -> HttpResponse:
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
        end=lambda guardian: family_facts.save_reminders(guardian=guardian, wanted=False),
        page=_stop_page,
        problem=family_link_problem,
    )
)
