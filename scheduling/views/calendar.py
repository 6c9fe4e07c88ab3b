"""Clinics by week, month and day, read like a timetable."""

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from clinics.models import Center
from core import clock
from core.formats import full_day, long_day, month_and_year, short_day
from core.parsing import row_named
from scheduling.queries import calendar as queries
from scheduling.rules.calendar_days import FIRST_DAY, LAST_DAY, clock_change, next_month, week_of

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

__all__ = ["VIEWS", "calendar", "chosen_center", "list_tabs"]

VIEWS = ("week", "month", "day")
TAB_NAMES = {
    "list": gettext_lazy("List"),
    "week": gettext_lazy("Week"),
    "month": gettext_lazy("Month"),
    "day": gettext_lazy("Day"),
}
STEPS = {
    "week": {
        "label": gettext_lazy("Previous and next week"),
        "before": gettext_lazy("Previous week"),
        "now": gettext_lazy("This week"),
        "after": gettext_lazy("Next week"),
    },
    "month": {
        "label": gettext_lazy("Previous and next month"),
        "before": gettext_lazy("Previous month"),
        "now": gettext_lazy("This month"),
        "after": gettext_lazy("Next month"),
    },
    "day": {
        "label": gettext_lazy("Previous and next day"),
        "before": gettext_lazy("Previous day"),
        "now": gettext_lazy("Today"),
        "after": gettext_lazy("Next day"),
    },
}
CENTERS_PER_PAGE = 12
CLINICS_PER_PAGE = 30


def chosen_center(request: HttpRequest) -> Center | None:
    return row_named(Center.objects.all(), request.GET.get("center", ""))


def _day(request: HttpRequest, today: date) -> tuple[date, str]:
    """The day asked for, and a sentence when what stands in the address is none."""
    typed = request.GET.get("day", "")
    if not typed:
        return today, ""
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        said = gettext(
            "“%(typed)s” isn’t a date, so here is today. Enter a date as year-month-day, such as %(example)s."
        )
        return today, said % {"typed": typed[:20], "example": today.isoformat()}
    if not FIRST_DAY <= day <= LAST_DAY:
        said = gettext("The calendar goes from %(first)d through %(last)d, so here is today.")
        return today, said % {"first": FIRST_DAY.year, "last": LAST_DAY.year}
    return day, ""


def calendar(request: HttpRequest) -> HttpResponse:
    """Week, month or day. Whoever calls this has asked for the right to see clinics."""
    view = request.GET["view"]
    today = clock.today()
    day, odd = _day(request, today)
    center = chosen_center(request)
    cancelled = request.GET.get("cancelled") == "yes"
    busy = request.GET.get("busy") == "yes"
    keep = {"center": center.pk if center else "", "cancelled": "yes" if cancelled else "", "busy": "yes" * busy}

    def address(to: date, kind: str = view) -> str:
        to = min(max(to, FIRST_DAY), LAST_DAY)
        facts = {"view": kind, "day": to.isoformat()} | {name: value for name, value in keep.items() if value}
        return f"{reverse('clinics')}?{urlencode(facts)}"

    before, after = _steps(view, day)
    title = _title(view, day)
    context: dict[str, Any] = {
        "here": "clinics",
        "view": view,
        "day": day,
        "today": today,
        "odd": odd,
        "chosen": center,
        "centers": Center.objects.only("pk", "name"),
        "cancelled": cancelled,
        "busy": busy,
        "tabs": [list_tabs(center)[0], *((name, TAB_NAMES[name], address(day, name)) for name in VIEWS)],
        "before": address(before) if before >= FIRST_DAY else "",
        "after": address(after) if after <= LAST_DAY else "",
        "now_href": address(today),
        "home_zone": clock.home_zone().key,
        "may_book": request.user.has_perm("people.book_clinics"),
        "title": title,
        "heading": _at(title, center),
        "day_heading": _at(long_day(day), center),
        "steps": STEPS[view],
    }
    number = request.GET.get("page")
    if view == "week":
        page = Paginator(queries.week_centers(day, busy=busy, chosen=center), CENTERS_PER_PAGE).get_page(number)
        days = week_of(day)
        tz = clock.home_zone()
        context |= {
            "page": page,
            "days": [(one, clock_change(one, tz), address(one, "day")) for one in days],
            "rows": queries.calendar_week(list(page.object_list), day, cancelled=cancelled),
            "near": [(one, address(one, "week")) for one in days],
        }
    elif view == "month":
        sheet = queries.calendar_month(day, center=center, cancelled=cancelled)
        context |= {
            "weeks": [[(one, address(one.day, "day")) for one in week] for week in sheet],
            "total": sum(one.total for week in sheet for one in week if one.in_month),
        }
    if view in ("day", "week"):
        found = queries.day_clinics(day, center=center, cancelled=cancelled)
        # The week's own pages are of centers; the day within it, for a phone, begins at its first clinics.
        day_page = Paginator(found, CLINICS_PER_PAGE).get_page(number if view == "day" else 1)
        context |= {
            "day_page": day_page,
            "cells": queries.calendar_day(list(day_page.object_list), day),
            "closed": queries.closed_on(day),
            "change": clock_change(day, clock.home_zone()),
            "day_href": address(day, "day"),
            "day_before": address(day - timedelta(days=1)),
            "day_after": address(day + timedelta(days=1)),
        }
    return render(request, "scheduling/calendar.html", context)


def list_tabs(center: Center | None) -> list[tuple[str, "StrOrPromise", str]]:
    """The four ways to look at clinics, from the list."""
    more = {"center": center.pk} if center else {}
    home = reverse("clinics")
    first = ("list", TAB_NAMES["list"], f"{home}?{urlencode(more)}" if more else home)
    return [first, *((name, TAB_NAMES[name], f"{home}?{urlencode({'view': name, **more})}") for name in VIEWS)]


def _steps(view: str, day: date) -> tuple[date, date]:
    if view == "month":
        return next_month(day, -1), next_month(day)
    step = timedelta(days=7 if view == "week" else 1)
    return day - step, day + step


def _at(title: str, center: Center | None) -> str:
    if center is None:
        return title
    return gettext("%(title)s at %(center)s") % {"title": title, "center": center.name}


def _title(view: str, day: date) -> str:
    if view == "month":
        return month_and_year(day)
    if view == "week":
        days = week_of(day)
        return gettext("Week of %(first)s through %(last)s") % {
            "first": short_day(days[0]),
            "last": short_day(days[-1]),
        }
    return full_day(day)
