"""What we keep of the family: a copy, being forgotten, and another link when somebody else has this one."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext

from core import clock
from families.models import FamilyRequest, Guardian
from families.services import family_page as services
from families.views.family_page.guardians import family_action


def _ask(request: HttpRequest, guardian: Guardian, token: str, what: FamilyRequest.What) -> HttpResponse:
    services.ask_request(guardian=guardian, what=what, now=clock.now())
    messages.success(request, gettext("We have your request. Someone on our team will review it and reply."))
    return redirect("family-page", token)


@family_action("family-page")
def ask_copy(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    return _ask(request, guardian, token, FamilyRequest.What.COPY)


@family_action("family-page")
def ask_erasure(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    return _ask(request, guardian, token, FamilyRequest.What.ERASURE)


@family_action("family-page")
def new_link(_request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    services.revoke_family_links(guardian=guardian, now=clock.now())
    return redirect("family-page", token)
