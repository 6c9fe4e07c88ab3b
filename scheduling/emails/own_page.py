"""The letter with the link to a volunteer's own page, and that link for other letters."""

from datetime import datetime, timedelta

from config import links
from people.models import Volunteer
from scheduling.emails.letter import Letter, Untrue
from scheduling.models import Note

__all__ = ["own_page", "own_page_link"]

OWN_PAGE_DAYS = 180


def own_page_link(volunteer: Volunteer, now: datetime) -> str:
    expires_at = now + timedelta(days=OWN_PAGE_DAYS)
    token = links.make("me", subject=volunteer.pk, counter=volunteer.link_counter, expires_at=expires_at)
    return links.address("own-page", token)


def own_page(note: Note, now: datetime) -> Letter:
    volunteer = note.volunteer
    if volunteer is None or volunteer.left_on is not None:
        raise Untrue("The person has left.")
    return Letter(note.kind, {"volunteer": volunteer, "link": own_page_link(volunteer, now)})
