"""Households for tests: registered with the real services, and the addresses of their links."""

from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Model
from django.urls import reverse

from clinics.models import Clinic
from core import clock, links
from families.models import Guardian, Spot

__all__ = ["SECRET", "eight", "family_address", "say", "spot_address"]

# What must be in no subject, header, address or summary.
SECRET = ("Wrenna Thornapple", "Wrenna", "hazelnuts", "must not collect", "must not pick up", "court order")


def eight(clinic: Clinic) -> date:
    """A birthday that makes a child eight on the clinic's day."""
    return clinic.day.replace(year=clinic.day.year - 8, day=1)


def family_address(guardian: Guardian, *, days: int = 30, route: str = "family-page", args: Any = ()) -> str:
    token = links.make(
        "family",
        subject=guardian.pk,
        counter=guardian.link_counter,
        expires_at=clock.now() + timedelta(days=days),
    )
    return reverse(route, args=[token, *args])


def spot_address(spot: Spot) -> str:
    token = links.make("spot", subject=spot.pk, counter=spot.link_counter, expires_at=spot.clinic.starts_at)
    return reverse("spot-answer", args=[token])


def say(client: Any, guardian: Guardian, action: str, *rows: Model, **typed: Any) -> Any:
    """Press a button or send a form of the family's page, or of the page of one child: the first of ``rows`` then."""
    where = family_address(guardian, route=f"family-{action}", args=[row.pk for row in rows])
    return client.post(where, typed)


def confirmed(guardian: Guardian, now: datetime) -> Guardian:
    guardian.confirmed_at = now
    guardian.save()
    return guardian
