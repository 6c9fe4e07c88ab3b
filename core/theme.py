"""What the frame around every page needs: the links that a person may open, and who is logged in."""

from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

NAV = [
    # key, label, route, the permission that opens it
    ("ahead", _("Ahead"), "ahead", "people.see_ahead"),
    ("clinics", _("Clinics"), "clinics", "people.see_clinics"),
    ("cover", _("Cover"), "cover", "people.cover_clinics"),
    ("centers", _("Centers"), "centers", "people.see_centers"),
    ("volunteers", _("Volunteers"), "volunteers", "people.see_volunteers"),
    ("children", _("Children"), "children", "people.see_children"),
    ("horizon", _("Horizon"), "horizon", "people.see_horizon"),
    ("policy", _("Policy"), "policy", "people.keep_policy"),
    ("kits", _("Kits"), "kits", "people.see_kits"),
    ("outbox", _("Outbox"), "outbox", "people.see_outbox"),
]


def frame(request: HttpRequest) -> dict[str, object]:
    user = getattr(request, "user", None)
    nav: list[dict[str, Any]] = []
    role = ""
    if user is not None and user.is_authenticated:
        nav = [{"key": k, "label": label, "href": reverse(route)} for k, label, route, may in NAV if user.has_perm(may)]
        role = user.role_name
    return {
        "nav": nav,
        "role_name": role,
        "organisation": settings.ORGANISATION,
        "organisation_phone": settings.ORGANISATION_PHONE,
        "mail_page": bool(settings.MAIL_CATCHER_DIR),
    }


def render_at(
    tz: ZoneInfo, request: HttpRequest, template: str, context: dict[str, Any], status: int = 200
) -> HttpResponse:
    """Render with every time on the page read from the wall clock in ``tz``."""
    with timezone.override(tz):
        return render(request, template, context, status=status)
