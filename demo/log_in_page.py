"""The demo's way in without typing: a page with one button that logs in as one of its three people; and its notice.

The addresses exist in the demo alone: whoever can open them has read the password in the terminal, and nothing here
is for a real installation.
"""

from django.conf import settings
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_http_methods

from core import clock
from demo.doors import first_act, person_of, why_now
from demo.world import is_demo

__all__ = ["log_in", "notice"]


@require_http_methods(["GET", "HEAD", "POST"])
def log_in(request: HttpRequest, role: str) -> HttpResponse:
    """Ask on a GET; on a POST log in and go to the page where this role has something to do."""
    person = person_of(role)
    if settings.MODE != "demo" or person is None or not is_demo():
        raise Http404
    if request.method == "POST":
        login(request, person, backend="django.contrib.auth.backends.ModelBackend")
        return redirect(first_act(role, clock.now()))
    return render(request, "demo/log_in.html", {"person": person})


def notice(_request: HttpRequest) -> dict[str, object]:
    """Give the demo's templates (see the settings) a sentence about its clinic of today, worked out only when shown."""
    return {"notice": SimpleLazyObject(lambda: why_now(clock.now()))}
