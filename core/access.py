"""The one decorator for views of logged-in people: it checks their rights."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

View = Callable[..., HttpResponse]

__all__ = ["NotYours", "may"]


class NotYours(PermissionDenied):
    """Someone has the right to a kind of page and not to this one. Its text is a sentence for them: who can help."""


def may(*codes: str) -> Callable[[View], View]:
    """Let in only a logged-in person who has every right in ``codes``; others log in, or read why not."""

    def wrap(view: View) -> View:
        @wraps(view)
        def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not request.user.has_perms([f"people.{code}" for code in codes]):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        inner.needs = codes  # type: ignore[attr-defined]
        return inner

    return wrap
