"""Mail that its reader ends: a page with one button, and the one-press POST of RFC 8058 from a mail program."""

from collections.abc import Callable
from typing import TypeVar

from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils.functional import Promise
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from core import links
from core.link_pages import link_problem, subject_of
from outbox.letters import Stop

__all__ = ["stopping"]

Row = TypeVar("Row", bound=Model)


def stopping(
    stop: Stop,
    *,
    rows: Callable[[], QuerySet[Row]],
    gone: str | Promise,
    end: Callable[[Row], object],
    page: Callable[[HttpRequest, Row], HttpResponse],
    problem: Callable[[HttpRequest, links.LinkProblem], HttpResponse] = link_problem,
) -> Callable[..., HttpResponse]:
    """The page of a Stop: whose link it is among ``rows``, how the mail ends, and what is shown.

    ``end`` writes it, and ``page`` is shown a row that knows of it; ``gone`` is said when the row is there no more.
    """

    # A mail program posts without cookies (RFC 8058 section 3.1); the signed link itself is the proof.
    @csrf_exempt
    @require_http_methods(["GET", "HEAD", "POST"])
    def view(request: HttpRequest, token: str) -> HttpResponse:
        try:
            row = subject_of(request, stop.purpose, token, rows(), str(gone))
        except links.LinkProblem as found:
            return problem(request, found)
        if request.method == "POST":
            end(row)
            row.refresh_from_db()
        # Answered in place: RFC 8058 allows no redirect.
        return page(request, row)

    return view
