"""What the floor page on a phone and the server say to each other, as JSON."""

import json
from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext, gettext_lazy
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from clinics.models import Clinic
from core import clock
from core.acting import How, found_to_be
from core.client_ip import caller_address
from core.refusal import Refusal
from floor.models import FloorPhone
from floor.queries.edition import edition_of
from floor.queries.floor_hours import wipe_at
from floor.queries.log import floor_state
from floor.queries.page import day_data
from floor.queries.page_children import floor_children
from floor.queries.page_state import state_data
from floor.services.phones import leave_phone, log_readings, phone_of
from floor.services.syncing import receive

FLOOR_PATH = "/floor/"
# The page sends at most 250,000 letters at once (rules.js), of at most three bytes each.
MOST_BYTES = 900_000
GONE = gettext_lazy(
    "This phone can no longer open this clinic’s floor page. The lead can open it from the link in their email."
)
OVER = gettext_lazy("This clinic is over. Its floor page is closed and its data is erased from this phone.")
OFF = gettext_lazy("Our office cancelled this clinic, so its data is erased from this phone.")

Answer = Callable[[HttpRequest, FloorPhone, dict[str, Any]], JsonResponse]


def remember(response: HttpResponse, clinic: Clinic, secret: str) -> None:
    response.set_cookie(
        f"floor{clinic.pk}",
        secret,
        max_age=max(0, int((wipe_at(clinic) - clock.now()).total_seconds())),
        path=FLOOR_PATH,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Strict",
    )


def of_phone(answer: Answer) -> Callable[..., HttpResponse]:
    """JSON from a phone that may write. Guarded by a SameSite=Strict cookie and a header no form can send."""

    @csrf_exempt
    @require_POST
    @wraps(answer)
    def inner(request: HttpRequest, pk: int) -> HttpResponse:
        if request.headers.get("X-Floor") != "1" or request.content_type != "application/json":
            return JsonResponse({"why": "This address is for the floor page."}, status=400)
        phone = phone_of(pk, request.COOKIES.get(f"floor{pk}", ""), clock.now())
        if phone is None:
            clinic = Clinic.objects.filter(pk=pk).first()
            over = clinic is not None and clock.now() >= wipe_at(clinic)
            off = clinic is not None and not clinic.live
            response = JsonResponse({"why": str(OVER if over else OFF if off else GONE)}, status=401)
            response.delete_cookie(f"floor{pk}", path=FLOOR_PATH, samesite="Strict")
            return response
        try:
            body = request.body
        except RequestDataTooBig:
            body = None
        if body is None or len(body) > MOST_BYTES:
            return JsonResponse({"why": gettext("Too many entries at once. Send fewer.")}, status=413)
        said = _read(body)
        if said is None:
            return _unread()
        found_to_be(phone.who_answers, How.LINK)
        response = answer(request, phone, said)
        response["Cache-Control"] = "no-store"
        return response

    return inner


def _read(body: bytes) -> dict[str, Any] | None:
    """The object that stands in the body; None if there is none, or it is nested too deeply to be read."""
    try:
        said = json.loads(body.decode() or "{}")
    except (ValueError, RecursionError):
        return None
    return said if isinstance(said, dict) else None


def _unread() -> JsonResponse:
    return JsonResponse({"why": gettext("We couldn’t read what was sent.")}, status=400)


def _moment(said: Any) -> datetime | None:
    try:
        moment = parse_datetime(said) if isinstance(said, str) else None
    except ValueError:
        return None
    return moment if moment is not None and moment.tzinfo is not None else None


@of_phone
def floor_data(request: HttpRequest, phone: FloorPhone, _said: dict[str, Any]) -> JsonResponse:
    now = clock.now()
    state = floor_state(phone.clinic)
    log_readings(phone=phone, children=floor_children(phone.clinic, state), now=now)
    response = JsonResponse(day_data(phone, now, state))
    # A clinic that was moved to a later hour is not over when it would have been.
    remember(response, phone.clinic, request.COOKIES[f"floor{phone.clinic_id}"])
    return response


@of_phone
def floor_sync(request: HttpRequest, phone: FloorPhone, said: dict[str, Any]) -> JsonResponse:
    """``actions``: each entry as a JSON text of its own, so that one that can't be read leaves the others whole."""
    now, phone_now, actions = clock.now(), _moment(said.get("phone_now")), said.get("actions")
    if phone_now is None or not isinstance(actions, list):
        return _unread()
    try:
        out = receive(phone=phone, phone_now=phone_now, actions=actions, now=now, came_from=caller_address(request))
    except Refusal as refusal:
        return JsonResponse({"why": str(refusal)}, status=413)
    return JsonResponse(
        {
            "kept": out.kept,
            "refused": [one._asdict() for one in out.refused],
            "state": state_data(phone.clinic, out.state),
            "edition": edition_of(phone.clinic),
            "now": now.isoformat(),
            "ended": False,
        }
    )


@of_phone
def floor_leave(_request: HttpRequest, phone: FloorPhone, said: dict[str, Any]) -> JsonResponse:
    """``phone``: the number of the phone that left, since it may be told only after a new link was opened on it."""
    number = said.get("phone")
    still = leave_phone(phone=phone, now=clock.now(), number=number if isinstance(number, int) else None)
    response = JsonResponse({"left": True, "open": still})
    if not still:
        response.delete_cookie(f"floor{phone.clinic_id}", path=FLOOR_PATH, samesite="Strict")
    return response
