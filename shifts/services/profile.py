"""What a volunteer changes of who they are: the name, the home area, and, once the new one answers, the address."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext_lazy

from core.refusal import Refusal
from people.models import AddressChange, Volunteer
from people.queries.volunteers import area_point
from people.services.new_addresses import ask_address, use_address
from shifts.letters.own_page import ADDRESS_CHANGED, ADDRESS_CONFIRM

__all__ = ["ask_new_address", "confirm_new_address", "save_details"]

TAKEN = gettext_lazy("Someone else already uses that email. Enter another one, or call us.")


@transaction.atomic
def save_details(*, volunteer: Volunteer, name: str, home_area: str) -> Volunteer:
    """Write name and home area. A new area takes its place on the map from others who live there.

    When nobody else lives there, the place and all distances are unknown until somebody in the office gives it.
    """
    row = Volunteer.objects.select_for_update(no_key=True).get(pk=volunteer.pk)
    if home_area.casefold() != row.home_area.casefold():
        row.latitude, row.longitude = area_point(home_area) or (None, None)
    row.name, row.home_area = name, home_area
    row.save(update_fields=["name", "home_area", "latitude", "longitude"])
    return row


@transaction.atomic
def ask_new_address(*, volunteer: Volunteer, email: str, now: datetime) -> AddressChange:
    """Keep the new address and ask it whether it is theirs; mail goes to the known one until it answers."""
    Volunteer.objects.select_for_update(no_key=True).get(pk=volunteer.pk)
    if Volunteer.objects.filter(email__iexact=email).exclude(pk=volunteer.pk).exists():
        raise Refusal.because("taken", str(TAKEN), "email")
    row, _ = AddressChange.objects.get_or_create(
        volunteer=volunteer, confirmed_at=None, defaults={"email": email, "asked_at": now}
    )
    ask_address(row, kind=ADDRESS_CONFIRM, owner=volunteer, email=email, key=f"change {row.pk}", now=now)
    return row


@transaction.atomic
def confirm_new_address(*, change: AddressChange, now: datetime) -> AddressChange:
    """Record that the new address answered: 1 lock, 2 write it, 3 turn waiting mail, 4 tell the old one.

    Twice is harmless.
    """
    row = AddressChange.objects.select_for_update(no_key=True).get(pk=change.pk)
    if row.confirmed_at is not None:
        return row
    volunteer = Volunteer.objects.select_for_update(no_key=True).get(pk=row.volunteer_id)
    use_address(row, kind=ADDRESS_CHANGED, owner=volunteer, taken=str(TAKEN), key=f"change {row.pk}", now=now)
    return row
