"""The floor page: opening it on a phone, and all of it that is the same for everybody."""

import hashlib
import json
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import get_language, gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core import clock, formats, languages, links
from core.access import may
from core.client_ip import caller_address
from core.formats import long_day
from core.link_pages import link_problem, subject_of
from core.refusal import Refusal
from floor.services.mailing import mail_floor_link
from floor.services.phones import open_phone
from floor.views.phone import FLOOR_PATH, remember
from people.access import account
from people.models import Volunteer
from shifts.models import Assignment

# The page's modules in static/floor/. `main` starts it; the page asks for all others at once, so that no import waits
# for the one that names it.
FLOOR_MODULES = (
    *("words", "rules", "times", "store", "dom", "forms", "twins", "view", "aside", "sync", "leaving", "top"),
    *("row", "names", "going", "coming", "cleared", "waiver", "pairs", "door", "walkin", "sheet", "scores"),
    *("first_aid", "incident", "emergency", "closing"),
    *("still", "undo", "room", "ages"),
    *("alarms", "warning", "clock", "signal", "ask"),
)


@require_http_methods(["GET", "HEAD", "POST"])
def floor_open(request: HttpRequest, token: str) -> HttpResponse:
    """By the lead's link: a GET asks, a POST opens the page on this phone."""
    try:
        rows = Assignment.objects.on_floor().select_related("shift__clinic__center", "volunteer")
        row = subject_of(request, "floor", token, rows, gettext("You’re no longer on this shift."))
    except links.LinkProblem as problem:
        return link_problem(request, problem)
    refusal = None
    if request.method == "POST":
        try:
            return _opened(request, row.shift.clinic, row.volunteer)
        except Refusal as refused:
            refusal = refused
    clinic = row.shift.clinic
    context = {"row": row, "title": clinic_words(clinic), "day": long_day(clinic.day), "refusal": refusal}
    return render(request, "floor/open.html", context, status=409 if refusal else 200)


@require_POST
@may("see_door", "read_care")
def floor_open_here(request: HttpRequest, pk: int) -> HttpResponse:
    """By the account of the lead: the same page, on the device where they are signed in."""
    clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=pk)
    volunteer = Volunteer.objects.active().filter(email__iexact=account(request).email).first()
    try:
        if volunteer is None:
            raise Refusal.because("not the lead", gettext("Only this clinic’s lead can open the floor page."))
        return _opened(request, clinic, volunteer)
    except Refusal as refusal:
        context = {"row": None, "title": clinic_words(clinic), "day": long_day(clinic.day), "refusal": refusal}
        return render(request, "floor/open.html", context, status=409)


@require_POST
@may("cover_clinics")
def floor_mail(request: HttpRequest, pk: int) -> HttpResponse:
    """The lead's link once more, by mail: the office itself never opens the floor page."""
    clinic = get_object_or_404(Clinic.objects.select_related("center"), pk=pk)
    try:
        note = mail_floor_link(clinic=clinic, now=clock.now())
        messages.success(request, gettext("We’re emailing the floor page link to %(name)s.") % {"name": note.to_name})
    except Refusal as refusal:
        messages.error(request, str(refusal))
    return redirect("clinic", clinic.pk)


def _opened(request: HttpRequest, clinic: Clinic, volunteer: Volunteer) -> HttpResponse:
    now = clock.now()
    _, secret = open_phone(
        clinic=clinic, volunteer=volunteer, came_from=caller_address(request) or "127.0.0.1", now=now
    )
    response = redirect("floor", clinic.pk)
    remember(response, clinic, secret)
    return response


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
