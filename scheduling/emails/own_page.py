"""The letter with the link to a volunteer's own page, and that link for other letters."""

from datetime import datetime, timedelta

from config import links
from people.models import AddressChange, Volunteer
from scheduling.emails.families import family_address_changed, family_address_confirm
from scheduling.emails.letter import Letter, Untrue
from scheduling.models import Note

__all__ = ["address_changed", "address_confirm", "own_page", "own_page_link"]

OWN_PAGE_DAYS = 180
ADDRESS_DAYS = 3


def own_page_link(volunteer: Volunteer, now: datetime) -> str:
    expires_at = now + timedelta(days=OWN_PAGE_DAYS)
    token = links.make("me", subject=volunteer.pk, counter=volunteer.link_counter, expires_at=expires_at)
    return links.address("own-page", token)


def own_page(note: Note, now: datetime) -> Letter:
    volunteer = note.volunteer
    if volunteer is None or volunteer.left_on is not None:
        raise Untrue("The person has left.")
    return Letter(note.kind, {"volunteer": volunteer, "link": own_page_link(volunteer, now)})


def address_confirm(note: Note, now: datetime) -> Letter:
    """To a new address: is it theirs?"""
    if note.guardian_id is not None:
        return family_address_confirm(note, now)
    volunteer = note.volunteer
    if volunteer is None or volunteer.left_on is not None:
        raise Untrue("The person has left.")
    change = AddressChange.objects.filter(volunteer=volunteer, email=note.to_email, confirmed_at=None).first()
    if change is None:
        raise Untrue("The address is confirmed, or another was given since.")
    expires_at = now + timedelta(days=ADDRESS_DAYS)
    token = links.make("address", subject=change.pk, counter=change.link_counter, expires_at=expires_at)
    return Letter(note.kind, {"volunteer": volunteer, "link": links.address("address-confirm", token)})


def address_changed(note: Note, now: datetime) -> Letter:
    """To the old address: mail goes elsewhere now. Says nothing of where."""
    if note.guardian_id is not None:
        return family_address_changed(note, now)
    if note.volunteer is None:
        raise Untrue("The person is no longer in the books.")
    return Letter(note.kind, {"volunteer": note.volunteer})
