"""The link to a family's own page: asked for on the public page, and its address."""

from datetime import datetime, timedelta

from django.db import transaction

from config import links
from people.models import Guardian
from scheduling.models import NoteKind
from scheduling.services.outbox import note_to_guardian

__all__ = ["FAMILY_LINK_DAYS", "ask_family_link", "family_address", "family_page_link"]

# Long enough for a season; asking for another is one line on the public page.
FAMILY_LINK_DAYS = 120


@transaction.atomic
def ask_family_link(email: str, now: datetime) -> None:
    """Write the link to the confirmed guardian of this address; nothing for an address that nobody confirmed.

    It returns nothing, so that no page can tell who is in the books. Twice in one minute writes once.
    """
    guardian = Guardian.objects.confirmed_at_address(email.strip()).first()
    if guardian is None or not email.strip():
        return
    note_to_guardian(
        kind=NoteKind.FAMILY_LINK,
        what=f"asked {now:%Y-%m-%d %H:%M}",
        guardian=guardian,
        summary=f"Link to the family page: {guardian.name}",
        now=now,
    )


def family_page_link(guardian: Guardian, expires_at: datetime) -> str:
    """The full address of the family's own page, good until ``expires_at`` or until it is replaced."""
    token = links.make("family", subject=guardian.pk, counter=guardian.link_counter, expires_at=expires_at)
    return links.address("family-page", token)


def family_address(guardian: Guardian, now: datetime) -> str:
    """The address for somebody whom no mail reaches; the same all day long."""
    until = now + timedelta(days=FAMILY_LINK_DAYS)
    return family_page_link(guardian, until.replace(hour=0, minute=0, second=0, microsecond=0))
