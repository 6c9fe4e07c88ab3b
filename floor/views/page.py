"""The floor page: its shell, and what phone and server say to each other."""

import hashlib
import json
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.dateparse import parse_datetime
from django.utils.translation import get_language, gettext, gettext_lazy
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from clinics.models import Clinic
from core import clock, formats, languages
from core.acting import How, found_to_be
from core.client_ip import caller_address
from core.refusal import Refusal
from floor.models import FloorPhone
from floor.queries.floor_hours import wipe_at
from floor.queries.log import floor_state
from floor.queries.page import day_data, edition_of
from floor.queries.page_children import floor_children
from floor.queries.page_state import state_data
from floor.services.phones import leave_phone, log_readings, phone_of
from floor.services.syncing import receive

FLOOR_PATH = "/floor/"
MOST_BYTES = 900_000
# The page's modules in static/floor/. `main` starts it; the page asks for all others at once, so that no import waits
# for the one that names it.
FLOOR_MODULES = (
    *("words", "rules", "times", "store", "dom", "forms", "view", "sync", "leaving", "top", "emergency"),
    *("row", "going", "coming", "door", "walkin", "sheet", "scores", "incident", "closing"),
)
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


@require_safe
def floor(request: HttpRequest, pk: int) -> HttpResponse:
    """The shell: the same for everybody, with nothing of the day in it. The phone asks for that on its own."""
    response = render(
        request,
        "floor/page.html",
        _shell(pk),
    )
    # The service worker keeps the shell; nothing in it is anybody's secret.
    response["Cache-Control"] = "no-cache"
    return response


def _shell(pk: int) -> dict[str, Any]:
    """What page.html needs: modules, sentences and forms of days and hours in the language that is in force."""
    return {
        "pk": pk,
        "modules": FLOOR_MODULES,
        "organisation_phone": settings.ORGANISATION_PHONE,
        "words": languages.words_for_scripts(get_language() or settings.LANGUAGE_CODE),
        "locale": formats.locale_name(),
        "hours": "h12" if "a" in settings.CLOCK_PATTERN else "h23",
    }


# What the phone keeps for a gym without signal; page.html links the same.
SHELL = (
    "core/whistlestop.css",
    "core/favicon.svg",
    *(f"floor/{module}.js" for module in (*FLOOR_MODULES, "main")),
    "fonts/atkinson-regular.woff2",
    "fonts/atkinson-bold.woff2",
)


@require_safe
def floor_worker(_request: HttpRequest) -> HttpResponse:
    """The service worker, from an address above all that it looks after. A new edition of any part is a new worker."""
    words = _static("floor/worker.js").decode()
    page = render_to_string("floor/page.html", _shell(0))
    addresses = json.dumps([static(name) for name in SHELL])
    parts = [words.encode(), page.encode(), addresses.encode(), *map(_static, SHELL)]
    edition = hashlib.sha256(b"".join(parts)).hexdigest()[:16]
    top = f"const SHELL = {addresses};\nconst EDITION = {json.dumps(edition)};\n"
    response = HttpResponse(top + words, content_type="text/javascript")
    response["Service-Worker-Allowed"] = FLOOR_PATH
    response["Cache-Control"] = "no-cache"
    return response


def _static(name: str) -> bytes:
    return Path(str(finders.find(name) or staticfiles_storage.path(name))).read_bytes()


@require_safe
def floor_manifest(_request: HttpRequest, pk: int) -> HttpResponse:
    return JsonResponse(
        {
            "name": f"{gettext('Floor')} · {settings.ORGANISATION}",
            "short_name": gettext("Floor"),
            "start_url": reverse("floor", args=[pk]),
            "scope": FLOOR_PATH,
            "display": "standalone",
            "background_color": "#FBF8F1",
            "theme_color": "#FFFEFA",
            "icons": [{"src": static("core/favicon.svg"), "sizes": "any", "type": "image/svg+xml"}],
        },
        content_type="application/manifest+json",
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
        if len(request.body) > MOST_BYTES:
            return JsonResponse({"why": gettext("Too many entries at once. Send fewer.")}, status=413)
        try:
            said = json.loads(request.body or b"{}")
        except ValueError:
            said = None
        if not isinstance(said, dict):
            return JsonResponse({"why": gettext("We couldn’t read what was sent.")}, status=400)
        found_to_be(phone.who_answers, How.LINK)
        response = answer(request, phone, said)
        response["Cache-Control"] = "no-store"
        return response

    return inner


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
    now = clock.now()
    actions = said.get("actions")
    try:
        phone_now = parse_datetime(str(said.get("phone_now", "")))
    except ValueError:
        phone_now = None
    if phone_now is None or phone_now.tzinfo is None or not isinstance(actions, list):
        return JsonResponse({"why": gettext("We couldn’t read what was sent.")}, status=400)
    try:
        out = receive(phone=phone, phone_now=phone_now, actions=actions, now=now, came_from=caller_address(request))
    except Refusal as refusal:
        return JsonResponse({"why": str(refusal)}, status=413)
    return JsonResponse(
        {
            "kept": out.kept,
            "refused": [{"id": number, "why": why} for number, why in out.refused],
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
