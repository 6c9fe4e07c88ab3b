"""What is the same for every answer."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import translation
from pghistory.middleware import HistoryMiddleware

from core.acting import How
from core.languages import asked_language
from core.logs import without_links
from core.once import reading
from core.references import reference


class OneReading:
    """Small tables are read once for each request; see core/once.py."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with reading():
            return self.get_response(request)


class PrivatePages:
    """No cache keeps pages about people, and a page by link tells no other site its address."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if not request.path.startswith("/static/"):
            response.headers.setdefault("Cache-Control", "no-store")
            response.headers.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
        return response


class History(HistoryMiddleware):
    """The history says on which page something was changed, never by which signed link: that would open for months."""

    def get_context(self, request: HttpRequest) -> dict[str, Any]:
        context: dict[str, Any] = super().get_context(request)
        by = {"by": reference(request.user)} if request.user.is_authenticated else {}
        return context | by | {"how": str(How.PAGE), "url": without_links(request.path)}


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001
    """Public forms can end here too, so a person without an account reads it in their language."""
    known = getattr(request, "user", None) is not None and request.user.is_authenticated
    with translation.override("en" if known else asked_language(request)):
        return render(request, "core/csrf.html", status=403)
