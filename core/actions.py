"""The address of one action on a page: a POST does it, and a GET is sent on to the page."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

View = Callable[..., HttpResponse]

__all__ = ["action_of"]


def action_of(page: str, *named: str) -> Callable[[View], View]:
    """Give the view only POST requests. ``named`` are the parts of the address that the page's address has too.

    A refused form is shown at the action's address, so a person may open that address again: from a bookmark, from
    yesterday's windows, or after signing in. They get the page, and nothing is done.
    """

    def wrap(view: View) -> View:
        @wraps(view)
        @require_http_methods(["GET", "HEAD", "POST"])
        def inner(request: HttpRequest, **facts: Any) -> HttpResponse:
            if request.method == "POST":
                return view(request, **facts)
            return redirect(page, **{name: facts[name] for name in named})

        return inner

    return wrap
