"""The pages for not found, not allowed, not readable and broken, each in its reader's language.

A page speaks the language that its view spoke when it gave up (``request.spoken``). The office's pages are in English.
Everyone else gets their browser's language.
"""

from collections.abc import Mapping

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import translation

from core.access import NotYours
from core.languages import language_without_form, speak

__all__ = ["broken", "not_found", "not_open", "not_readable"]


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001
    return _page(request, "404.html", 404)


def not_open(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, "403.html", 403, {"why": str(exception) if isinstance(exception, NotYours) else ""})


def not_readable(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001
    return _page(request, "400.html", 400)


def broken(request: HttpRequest) -> HttpResponse:
    """Makes no query, since the database may be what is broken."""
    language = _language(request, known=settings.SESSION_COOKIE_NAME in request.COOKIES)

    def page() -> HttpResponse:
        return HttpResponse(render_to_string("500.html", {"language": translation.get_language()}), status=500)

    return speak(request, language, page)


def _page(request: HttpRequest, template: str, status: int, more: Mapping[str, str] | None = None) -> HttpResponse:
    user = getattr(request, "user", None)
    known = user is not None and user.is_authenticated
    context = {"frame": "core/base.html" if known else "core/bare.html", **(more or {})}
    return speak(request, _language(request, known=known), lambda: render(request, template, context, status=status))


def _language(request: HttpRequest, *, known: bool) -> str:
    spoken: str = getattr(request, "spoken", "")
    return spoken or ("en" if known else language_without_form(request))
