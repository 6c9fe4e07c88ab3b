"""The answer to a guardian who asked for a copy of their data or for its deletion."""

from datetime import datetime, timedelta

from django.utils.translation import gettext_lazy

from core import links
from core.languages import SPOKEN
from families.models import FamilyRequest, Guardian
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note

__all__ = ["COPY_DAYS", "FAMILY_REQUEST", "LETTERS", "copy_link", "copy_stands"]

FAMILY_REQUEST = "family-request"
# How long the link to a copy works.
COPY_DAYS = 7


def copy_ends(row: FamilyRequest) -> datetime:
    assert row.decided_at is not None
    return row.decided_at + timedelta(days=COPY_DAYS)


def copy_stands(row: FamilyRequest, now: datetime) -> bool:
    """Whether the request was for a copy, was granted, and its link still works."""
    done = row.what == FamilyRequest.What.COPY and row.state == FamilyRequest.State.DONE
    return done and now < copy_ends(row)


def copy_link(row: FamilyRequest) -> str:
    token = links.make(
        "copy",
        subject=row.pk,
        counter=row.link_counter,
        expires_at=copy_ends(row),
    )
    return links.address("family-copy", token)


def family_request(note: Note, now: datetime) -> Letter:
    """It is here, here is your copy, you are forgotten, or no and why.

    Whoever was forgotten is written to once more, by a note that is about no one.
    """
    if note.facts.get("step", "").startswith("forgotten"):
        return Letter({"name": note.to_name, "answer": "forgotten"})
    row = row_of(note, FamilyRequest.objects.filter(guardian=note.number_of(Guardian)))
    if row is None:
        raise Stale("This request is no longer on file.")
    if row.state != note.facts["request_state"]:
        raise Stale("The request’s status changed.")
    facts = {"name": note.to_name, "row": row, "days": COPY_DAYS}
    if row.decided_at is None or row.state != FamilyRequest.State.DONE:
        return Letter(facts | {"answer": row.state})
    if now >= copy_ends(row):
        raise Stale("The link expired before the email was sent.")
    return Letter(facts | {"answer": "copy", "link": copy_link(row)})


LETTERS = (
    LetterKind(
        FAMILY_REQUEST,
        gettext_lazy("data request answer"),
        "families/mail/family-request",
        family_request,
        languages=SPOKEN,
    ),
)
