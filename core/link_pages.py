"""What every page by signed link does first: find the row it speaks of, or say kindly why it can't be used."""

from typing import TypeVar

from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import translation

from core import clock, links
from core.acting import How, found_to_be
from core.client_ip import caller_address
from core.languages import asked_language

__all__ = ["link_problem", "subject_of"]

Row = TypeVar("Row", bound=Model)

STATUS = {"altered": 404, "expired": 410, "revoked": 410, "too many tries": 429}


def link_problem(request: HttpRequest, problem: links.LinkProblem, new_link: str = "") -> HttpResponse:
    """A kind page that says what to do about a link that can't be used.

    It speaks the browser's language, since whose link it was is not known. ``new_link`` is the address of a page that
    mails another one.
    """
    context = {"problem": problem, "new_link": new_link}
    with translation.override(asked_language(request)):
        return render(request, "link_problem.html", context, status=STATUS[problem.code])


def subject_of(
    request: HttpRequest, purpose: str, token: str, rows: QuerySet[Row], gone: str, counter: str = "link_counter"
) -> Row:
    """The row that a link of this purpose speaks of. Raises LinkProblem when the link can't be used.

    From here on ``row.who_answers``, or the row itself, is the author of what a POST writes.
    ``gone`` is the problem's sentence when ``rows`` has no such row; ``counter`` names the field that revokes links.
    """
    facts = links.read(purpose, token, now=clock.now(), caller=caller_address(request))
    row = rows.filter(pk=facts.subject).first()
    if row is None:
        raise links.RevokedLink(gone)
    facts.check_counter(getattr(row, counter))
    if request.method == "POST":
        found_to_be(getattr(row, "who_answers", row), How.LINK)
    return row
