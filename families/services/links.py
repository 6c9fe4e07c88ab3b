"""The link to a family's own page: asked for on the public page, and its address."""

from datetime import datetime, timedelta

from django.db import transaction

from families.letters.families import FAMILY_LINK, family_page_link
from families.models import Guardian
from families.services.notes_to_guardians import note_to_guardian

__all__ = ["FAMILY_LINK_DAYS", "ask_family_link", "family_address"]

# Long enough for a season; asking for another is one line on the public page.
FAMILY_LINK_DAYS = 120


@transaction.atomic
def ask_family_link(email: str, now: datetime) -> None:
    """Write the link to the confirmed guardian of this address; nothing for an address that no one confirmed.

    It returns nothing, so that no page can tell who is on file. Twice in one minute writes once.
    """
    guardian = Guardian.objects.confirmed_at_address(email.strip()).first()
    if guardian is None or not email.strip():
        return
    note_to_guardian(
        kind=FAMILY_LINK,
        what=f"asked {now:%Y-%m-%d %H:%M}",
        guardian=guardian,
        summary=f"Family page link for {guardian.name}",
        now=now,
    )


def family_address(guardian: Guardian, now: datetime) -> str:
    """The address of the page, for someone whom no mail reaches; the same all day long."""
    until = now + timedelta(days=FAMILY_LINK_DAYS)
    return family_page_link(guardian, until.replace(hour=0, minute=0, second=0, microsecond=0))
