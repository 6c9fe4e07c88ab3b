"""Forgets volunteers who left long ago: what names them goes, and what they did stays without a name."""

from datetime import date, datetime

from django.db import transaction

from core.merge import declared, forget_rows
from outbox.services.subjects import forget_about_any
from people.hooks import volunteer_keys
from people.models import Application, Purge, Volunteer
from people.rules.evidence import expires_on

__all__ = ["due_to_go", "purge_leavers"]


def due_to_go(*, today: date, months: int) -> list[int]:
    """Numbers of the volunteers who left ``months`` calendar months ago or longer and are still named."""
    rows = Volunteer.objects.filter(left_on__isnull=False, forgotten=False).values_list("pk", "left_on")
    return [pk for pk, left_on in rows if left_on is not None and (expires_on(left_on, months) or today) < today]


@transaction.atomic
def purge_leavers(*, today: date, months: int, now: datetime) -> int:
    """Forget the volunteers who left ``months`` calendar months ago or longer; returns how many.

    Their name, address, phone and home area go, and in every app the rows that are declared to go: clearances with
    their history, applications, every note to or about them, and when they could come. Their shifts stay, nameless, so
    that hours given still count. Leaves a record of how many, never of whom. Running it twice is harmless.
    """
    ids = due_to_go(today=today, months=months)
    for row in Volunteer.objects.select_for_update(no_key=True).filter(pk__in=ids):
        row.name, row.email, row.phone = "Former volunteer", f"former-{row.pk}@example.invalid", ""
        row.home_area, row.latitude, row.longitude = "", None, None
        row.reminders, row.forgotten = False, True
        row.save()
    # Of all who were ever forgotten: somebody may have written a row about them since.
    former = Volunteer.objects.filter(forgotten=True).values_list("pk", flat=True)
    theirs = Application.objects.filter(volunteer__forgotten=True).values_list("pk", flat=True)
    forget_about_any(model=Application, numbers=list(theirs))
    forget_about_any(model=Volunteer, numbers=list(former))
    forget_rows(declared(volunteer_keys), forgotten=True)
    if ids:
        Purge.objects.create(at=now, what="volunteers who left", count=len(ids))
    return len(ids)
