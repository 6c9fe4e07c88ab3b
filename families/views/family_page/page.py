"""The page itself, and what was signed."""

from collections.abc import Sequence
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from core import clock
from families.forms.family_page import AddressForm, WhoForm
from families.letters.family_requests import copy_link, copy_stands
from families.models import Guardian, Waiver
from families.queries.family_page import family_page
from families.views.family_page.guardians import for_guardian

__all__ = ["page", "show_page", "signed"]


def show_page(
    request: HttpRequest,
    guardian: Guardian,
    token: str,
    *,
    who: WhoForm | None = None,
    address: AddressForm | None = None,
    refused: Sequence[str] = (),
) -> HttpResponse:
    """The page as it is, or with a form as it was typed and why it was refused."""
    who = who or WhoForm(initial={"name": guardian.name, "phone": guardian.phone})
    address = address or AddressForm(initial={"email": guardian.email})
    page = family_page(guardian, clock.now())
    context = {
        "guardian": guardian,
        "token": token,
        "who": who,
        "address": address,
        "refused": refused,
        "page": page,
        "copy": next((copy_link(row) for row in page.requests if copy_stands(row, clock.now())), ""),
        "today": clock.today(),
    }
    status = 422 if who.errors or address.errors else 409 if refused else 200
    return render(request, "families/family_page/page.html", context, status=status)


@require_safe
@for_guardian
def page(request: HttpRequest, guardian: Guardian, token: str) -> HttpResponse:
    return show_page(request, guardian, token)


@require_safe
@for_guardian
def signed(request: HttpRequest, guardian: Guardian, token: str, pk: int) -> HttpResponse:
    """What this guardian signed, word for word, for printing."""
    rows = Waiver.objects.select_related("text", "child")
    row = get_object_or_404(rows, pk=pk, guardian=guardian, child__guardianships__guardian=guardian)
    # The year is written whatever the year of reading: a signature is kept for long.
    context = {"row": row, "token": token, "zone": clock.home_zone(), "with_year": date.min}
    return render(request, "families/family_page/signed.html", context)
