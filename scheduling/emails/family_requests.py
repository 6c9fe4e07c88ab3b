"""The answer to a guardian who asked for a copy or to be forgotten."""

import re
from datetime import datetime, timedelta

from config import links
from people.models import FamilyRequest
from scheduling.emails.letter import Letter, Untrue
from scheduling.models import Note
from scheduling.services.families.keeping import COPY_DAYS

__all__ = ["copy_link", "copy_stands", "family_request"]


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
    """It is here, here is your copy, you are forgotten, or no and why; ``key`` names the request and its state."""
    if note.rung.startswith("forgotten"):
        return Letter(note.kind, {"name": note.to_name, "answer": "forgotten"})
    found = re.search(r"request (\d+) (\w+)", note.key)
    row = FamilyRequest.objects.filter(pk=int(found[1]), guardian=note.guardian_id).first() if found else None
    if found is None or row is None:
        raise Untrue("The request is no longer in the books.")
    if row.state != found[2]:
        raise Untrue("The request has gone on.")
    facts = {"name": note.to_name, "row": row, "days": COPY_DAYS}
    if row.decided_at is None or row.state != FamilyRequest.State.DONE:
        return Letter(note.kind, facts | {"answer": row.state})
    if now >= copy_ends(row):
        raise Untrue("The copy's link has run out before it went out.")
    return Letter(note.kind, facts | {"answer": "copy", "link": copy_link(row)})
