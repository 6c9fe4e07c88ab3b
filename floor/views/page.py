"""The floor page: all of it that is the same for everybody."""

import hashlib
import json
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
from django.utils.translation import get_language, gettext
from django.views.decorators.http import require_safe

from core import formats, languages
from floor.views.phone import FLOOR_PATH

# The page's modules in static/floor/. `main` starts it; the page asks for all others at once, so that no import waits
# for the one that names it.
FLOOR_MODULES = (
    *("words", "rules", "times", "store", "dom", "forms", "twins", "view", "aside", "sync", "leaving", "top"),
    *("row", "names", "going", "coming", "cleared", "waiver", "pairs", "door", "walkin", "sheet", "scores"),
    *("first_aid", "incident", "emergency", "closing"),
    *("still", "undo", "room", "ages"),
    *("alarms", "warning", "clock", "signal", "ask"),
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
