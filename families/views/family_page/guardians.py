"""Whose link it is, for every page of the family and for every action on one."""

from collections.abc import Callable
from functools import partial, wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from core import links
from core.actions import action_of
from core.languages import in_language, speak
from core.link_pages import link_problem, subject_of
from families.models import Guardian

__all__ = ["GONE", "family_action", "family_link_problem", "for_guardian", "known_guardians"]

GONE = "This family’s record was deleted."

View = Callable[..., HttpResponse]


def known_guardians() -> Any:
    return Guardian.objects.filter(forgotten_at__isnull=True)


def family_link_problem(request: HttpRequest, problem: links.LinkProblem) -> HttpResponse:
    """What to do about a link that can't be used: the public page mails a family another one."""
    return link_problem(request, problem, new_link=f"{reverse('register')}#back")


def for_guardian(view: View, *, before_answer: bool = False) -> View:
    """Hand the link's guardian to the view, in their language.

    One whose address has not answered yet sees only that question, unless the view serves ``before_answer`` too.
    """

    @in_language
    @wraps(view)
    def inner(request: HttpRequest, token: str, **more: Any) -> HttpResponse:
        try:
            guardian = subject_of(request, "family", token, known_guardians(), GONE)
        except links.LinkProblem as problem:
            return family_link_problem(request, problem)
        shown = view if guardian.confirmed or before_answer else _question
        return speak(request, guardian.language, partial(shown, request, guardian=guardian, token=token, **more))

    return inner


def family_action(page: str, *named: str, before_answer: bool = False) -> Callable[[View], View]:
    """An action of the link's guardian on this page; a GET of its address is sent on to the page (see action_of)."""

    def wrap(view: View) -> View:
        return for_guardian(action_of(page, "token", *named)(view), before_answer=before_answer)

    return wrap


def _question(request: HttpRequest, guardian: Guardian, token: str, **more: Any) -> HttpResponse:
    return render(request, "families/family_page/confirm.html", {"guardian": guardian, "token": token})
