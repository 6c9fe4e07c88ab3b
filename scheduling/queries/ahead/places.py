"""Centers: closed after all, without a safety sheet, silent, or with another time in mind."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse

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
                    headline=f"{clinic.center.name} is closed on the day of its clinic",
                    detail=f"Closed: {row.why or 'no reason noted'}. Move the clinic, or ask the center.",
                    action_label="Open the clinic",
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
                headline=f"{clinic.center.name} has gaps in its safety sheet",
                detail=f"Nobody has noted: {', '.join(missing)}. No clinic there is confirmed until it is whole.",
                action_label="Fill it in",
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
                headline=f"{clinic.center.name} suggests another time",
                detail=f"{long_day(start.date())}, {span(start, end)}, instead of "
                f"{short_day(clinic.day)}, {span(clinic.local_start, clinic.local_end)}.",
                action_label="See the suggestion",
                action_href=reverse("clinic", args=[clinic.pk]),
            )
        elif not booking.answer and now - booking.asked_at >= UNANSWERED_AFTER:
            days = (now - booking.asked_at).days
            yield Need(
                day=clinic.day,
                rank=3,
                headline=f"{clinic.center.name} has not answered",
                detail=f"{booking.space.name}, {span(clinic.local_start, clinic.local_end)}. Asked {days} days ago.",
                action_label="Open the booking",
                action_href=reverse("clinic", args=[clinic.pk]),
            )
    held = Booking.objects.live().values("clinic")
    refused = set(
        Booking.objects.filter(clinic__in=coming, answer=Answer.NOT_POSSIBLE).values_list("clinic", flat=True)
    )
    for clinic in coming.exclude(pk__in=held).select_related("center"):
        yield Need(
            day=clinic.day,
            rank=3,
            headline=f"{clinic.center.name} "
            + ("can't give the floor" if clinic.pk in refused else "has not answered in time"),
            detail=f"The clinic on {long_day(clinic.day)} has no floor. Choose another time or space, or cancel it.",
            action_label="Choose again",
            action_href=reverse("clinic-change", args=[clinic.pk]),
        )
