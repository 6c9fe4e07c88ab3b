"""Kits that can't be used, that are missing something, or whose checks are due."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext

from clinics.needs import FORTNIGHT, Need
from core.formats import listed, long_day
from kits.models import KitBooking
from kits.queries.condition import BookedKit, booked_kits, checks_due, kits_with_state, next_clinics
from kits.words.items import short_first, short_items
from kits.words.kits import due_words

__all__ = ["TIME_TO_BUY", "kit_check_needs", "kit_short_needs"]

# How long buying or borrowing takes: three weeks, a guess of ours.
TIME_TO_BUY = timedelta(days=21)
MOST_NAMED = 3


def kit_short_needs(now: datetime) -> Iterator[Need]:
    """One need for each coming clinic whose kit can't be used, or is missing something. At most eight queries."""
    soon = KitBooking.objects.filter(clinic__starts_at__gt=now, clinic__starts_at__lt=now + TIME_TO_BUY)
    for booked in booked_kits(soon):
        kit, clinic = booked.kit, booked.clinic
        if not (booked.blocks or booked.warns or booked.short):
            continue
        headline, detail = _said(booked)
        yield Need(
            day=clinic.day,
            rank=1 if booked.blocks else 4,
            headline=headline,
            detail=detail,
            action_label=gettext("Open the kit") if booked.blocks else gettext("View the pack list"),
            action_href=reverse("kit", args=[kit.pk]) if booked.blocks else reverse("clinic-pack", args=[clinic.pk]),
        )


def _said(booked: BookedKit) -> tuple[str, str]:
    facts = {
        "kit": booked.kit,
        "center": booked.clinic.center.name,
        "day": long_day(booked.clinic.day),
        "why": capfirst(listed(booked.blocks or booked.warns)),
    }
    if booked.blocks:
        return (
            gettext("%(kit)s can’t be used at %(center)s") % facts,
            gettext("%(why)s. It’s booked for %(day)s.") % facts,
        )
    if booked.warns:
        return (
            gettext("%(kit)s is missing a required item") % facts,
            gettext("%(why)s. It’s booked for %(center)s on %(day)s.") % facts,
        )
    facts |= {"first": short_first(booked.short), "items": short_items(booked.short, MOST_NAMED)}
    detail = gettext("For %(center)s on %(day)s. Buy or borrow what’s missing.")
    if len(booked.short) > 1:
        detail = gettext("%(items)s. For %(center)s on %(day)s. Buy or borrow what’s missing.")
    return gettext("%(kit)s is missing %(first)s") % facts, detail % facts


def kit_check_needs(now: datetime, today: date) -> Iterator[Need]:
    """Checks that are due by the day of a kit's next clinic, when that is within a fortnight. Six queries."""
    following = {pk: clinic for pk, clinic in next_clinics(now).items() if clinic.starts_at < now + FORTNIGHT}
    kits = [kit for kit in kits_with_state() if kit.pk in following]
    due = checks_due(kits, today, {pk: clinic.day for pk, clinic in following.items()})
    for kit in kits:
        rows = [check for check in due.get(kit.pk, []) if check.state != "fine"]
        if not rows:
            continue
        clinic = following[kit.pk]
        found = [
            gettext("%(check)s: %(due)s.")
            % {"check": capfirst(check.words), "due": due_words(check.due, check.last is None, today)}
            for check in rows
        ]
        yield Need(
            day=min(clinic.day, max(today, min(check.due for check in rows))),
            rank=5,
            headline=gettext("%(kit)s: %(checks)s") % {"kit": kit, "checks": listed(check.words for check in rows)},
            detail=gettext("%(checks)s Its next clinic is %(center)s on %(day)s.")
            % {"checks": " ".join(found), "center": clinic.center.name, "day": long_day(clinic.day)},
            action_label=gettext("Open the kit"),
            action_href=reverse("kit", args=[kit.pk]),
        )
