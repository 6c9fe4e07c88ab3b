"""The answer to a guardian who asked for a copy or to be forgotten."""

from datetime import datetime, timedelta

from config import links
from people.models import FamilyRequest
from scheduling.emails.letter import Letter, Untrue
from scheduling.models import Note
from scheduling.services.families.keeping import COPY_DAYS

__all__ = ["copy_link", "family_request"]


def copy_link(row: FamilyRequest) -> str:
    assert row.decided_at is not None
    token = links.make(
        "copy",
        subject=row.pk,
        counter=row.link_counter,
        expires_at=row.decided_at + timedelta(days=COPY_DAYS),
    )
    return links.address("family-copy", token)


def family_request(note: Note, now: datetime) -> Letter:
    """Three answers in one letter: here is your copy, you are forgotten, or no and why."""
    if note.rung.startswith("forgotten"):
        return Letter(note.kind, {"name": note.to_name, "answer": "forgotten"})
    if note.guardian is None:
        raise Untrue("The guardian is no longer in the books.")
    row = note.guardian.requests.exclude(state=FamilyRequest.State.WAITING).order_by("-decided_at").first()
    if row is None or row.decided_at is None:
        raise Untrue("Nothing was decided.")
    if row.state == FamilyRequest.State.DECLINED:
        return Letter(note.kind, {"name": note.to_name, "answer": "declined", "row": row})
    if now >= row.decided_at + timedelta(days=COPY_DAYS):
        raise Untrue("The copy's link has run out before it went out.")
    return Letter(
        note.kind, {"name": note.to_name, "answer": "copy", "row": row, "link": copy_link(row), "days": COPY_DAYS}
    )
