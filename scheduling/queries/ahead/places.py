"""Centers: closed after all, without a safety sheet, silent, or with a suggested time."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from clinics.models import Clinic, ClosedDays, Status
from clinics.needs import UNANSWERED_AFTER, Need
from core.formats import long_day, short_day, span
from scheduling.models import Answer, Booking


def closed_needs(clinics: list[Clinic]) -> Iterator[Need]:
    """Clinics on a day that their center has closed since. One query."""
    closed: dict[int, list[ClosedDays]] = {}
    for row in ClosedDays.objects.filter(center__in={clinic.center_id for clinic in clinics}):
        closed.setdefault(row.center_id, []).append(row)
    for clinic in clinics:
        for row in closed.get(clinic.center_id, []):
            if row.first_day <= clinic.day <= row.last_day:
                yield Need(
                    day=clinic.day,
                    rank=0,
                    headline=gettext("%(center)s is closed on a clinic day") % {"center": clinic.center.name},
                    detail=gettext("Closed: %(why)s. Move the clinic, or ask the center.")
                    % {"why": row.why or gettext("no reason given")},
                    action_label=gettext("Open the clinic"),
                    action_href=reverse("clinic", args=[clinic.pk]),
                )


def safety_needs(clinics: list[Clinic]) -> Iterator[Need]:
    """Centers with a clinic soon whose safety sheet has an empty line, each once, on its first clinic's day."""
    seen: set[int] = set()
    for clinic in clinics:
        missing = clinic.center.safety_missing
        if missing and clinic.center_id not in seen:
            seen.add(clinic.center_id)
            yield Need(
                day=clinic.day,
                rank=2,
                headline=gettext("%(center)s’s safety sheet isn’t complete") % {"center": clinic.center.name},
                detail=gettext("Missing: %(what)s. Clinics there can’t be confirmed until it’s complete.")
                % {"what": ", ".join(str(one) for one in missing)},
                action_label=gettext("Complete the safety sheet"),
                action_href=reverse("center-change", args=[clinic.center_id]),
            )


def booking_needs(now: datetime) -> Iterator[Need]:
    coming = Clinic.objects.live().filter(starts_at__gt=now)
    waiting = Booking.objects.live().filter(clinic__in=coming, status=Status.TENTATIVE)
    for booking in waiting.select_related("clinic__center", "space"):
        clinic = booking.clinic
        if booking.answer == Answer.ANOTHER_TIME:
            assert booking.suggested_start is not None and booking.suggested_end is not None
            start, end = (m.astimezone(clinic.center.tz) for m in (booking.suggested_start, booking.suggested_end))
            yield Need(
                day=clinic.day,
                rank=3,
                headline=gettext("%(center)s suggested another time") % {"center": clinic.center.name},
                detail=gettext("%(day)s, %(hours)s, instead of %(old_day)s, %(old_hours)s.")
                % {
                    "day": long_day(start.date()),
                    "hours": span(start, end),
                    "old_day": short_day(clinic.day),
                    "old_hours": span(clinic.local_start, clinic.local_end),
                },
                action_label=gettext("View the suggestion"),
                action_href=reverse("clinic", args=[clinic.pk]),
            )
        elif not booking.answer and now - booking.asked_at >= UNANSWERED_AFTER:
            days = (now - booking.asked_at).days
            yield Need(
                day=clinic.day,
                rank=3,
                headline=gettext("%(center)s hasn’t answered") % {"center": clinic.center.name},
                detail=ngettext(
                    "%(space)s, %(hours)s. Asked %(n)d day ago.", "%(space)s, %(hours)s. Asked %(n)d days ago.", days
                )
                % {"space": booking.space.name, "hours": span(clinic.local_start, clinic.local_end), "n": days},
                action_label=gettext("Open the clinic"),
                action_href=reverse("clinic", args=[clinic.pk]),
            )
    held = Booking.objects.live().values("clinic")
    refused = set(
        Booking.objects.filter(clinic__in=coming, answer=Answer.NOT_POSSIBLE).values_list("clinic", flat=True)
    )
    for clinic in coming.exclude(pk__in=held).select_related("center"):
        said = (
            gettext("%(center)s said no to our request")
            if clinic.pk in refused
            else gettext("%(center)s didn’t answer in time")
        )
        yield Need(
            day=clinic.day,
            rank=3,
            headline=said % {"center": clinic.center.name},
            detail=gettext("The clinic on %(day)s has no space. Choose another time or space, or cancel the clinic.")
            % {"day": long_day(clinic.day)},
            action_label=gettext("Choose another time or space"),
            action_href=reverse("clinic-change", args=[clinic.pk]),
        )
