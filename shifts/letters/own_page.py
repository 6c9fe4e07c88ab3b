"""The letter with the link to a volunteer's own page, and that link for other letters."""

from datetime import datetime, timedelta

from django.utils.translation import gettext, gettext_lazy

from core import links
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note
from people.models import AddressChange, Volunteer

__all__ = ["ADDRESS_CHANGED", "ADDRESS_CONFIRM", "LETTERS", "OWN_PAGE", "own_page_link"]

OWN_PAGE = "own-page"
ADDRESS_CONFIRM = "address-confirm"
ADDRESS_CHANGED = "address-changed"

OWN_PAGE_DAYS = 180
ADDRESS_DAYS = 3


def own_page_link(volunteer: Volunteer, now: datetime) -> str:
    expires_at = now + timedelta(days=OWN_PAGE_DAYS)
    token = links.make("me", subject=volunteer.pk, counter=volunteer.link_counter, expires_at=expires_at)
    return links.address("own-page", token)


def own_page(note: Note, now: datetime) -> Letter:
    volunteer = row_of(note, Volunteer.objects.all())
    if volunteer is None or volunteer.left_on is not None:
        raise Stale(gettext("This person is no longer a volunteer."))
    return Letter({"volunteer": volunteer, "link": own_page_link(volunteer, now)})


def address_confirm(note: Note, now: datetime) -> Letter:
    """To a new address: is it theirs?"""
    volunteer = row_of(note, Volunteer.objects.all())
    if volunteer is None or volunteer.left_on is not None:
        raise Stale(gettext("This person is no longer a volunteer."))
    change = AddressChange.objects.filter(volunteer=volunteer, email=note.to_email, confirmed_at=None).first()
    if change is None:
        raise Stale(gettext("The address is confirmed, or they’ve given another one."))
    expires_at = now + timedelta(days=ADDRESS_DAYS)
    token = links.make("address", subject=change.pk, counter=change.link_counter, expires_at=expires_at)
    return Letter({"volunteer": volunteer, "link": links.address("address-confirm", token)})


def address_changed(note: Note, _now: datetime) -> Letter:
    """To the old address: mail goes elsewhere now. Says nothing of where."""
    volunteer = row_of(note, Volunteer.objects.all())
    if volunteer is None:
        raise Stale(gettext("This record is no longer on file."))
    return Letter({"volunteer": volunteer})


LETTERS = (
    LetterKind(OWN_PAGE, gettext_lazy("link to their volunteer page"), "shifts/mail/own-page", own_page),
    LetterKind(
        ADDRESS_CONFIRM, gettext_lazy("new email address to confirm"), "shifts/mail/address-confirm", address_confirm
    ),
    LetterKind(ADDRESS_CHANGED, gettext_lazy("email address changed"), "shifts/mail/address-changed", address_changed),
)
