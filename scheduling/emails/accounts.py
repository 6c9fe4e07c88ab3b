"""Letters to people who sign in, and to people who would like to help."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from config import links
from people.models import Application
from people.passwords import password_tokens
from scheduling.emails.letter import Letter, Untrue
from scheduling.emails.own_page import own_page_link
from scheduling.models import Note, NoteKind

__all__ = ["apply_decided", "apply_link", "password_reset"]

APPLY_DAYS = 14


def _application(note: Note) -> Application:
    if note.application is None:
        raise Untrue("The application is no longer in the books.")
    return note.application


def apply_link(note: Note, now: datetime) -> Letter:
    """Confirming the address, or answering one more question: both by the application's link."""
    row = _application(note)
    wanted = Application.State.UNCONFIRMED if note.kind == NoteKind.APPLY_CONFIRM else Application.State.MORE_ASKED
    if row.state != wanted:
        raise Untrue(f"The application has gone on: {row.get_state_display()}.")
    expires_at = now + timedelta(days=APPLY_DAYS)
    token = links.make("apply", subject=row.pk, counter=row.link_counter, expires_at=expires_at)
    return Letter(note.kind, {"row": row, "link": links.address("join-link", token)})


def apply_decided(note: Note, now: datetime) -> Letter:
    row = _application(note)
    context: dict[str, Any] = {"row": row}
    if row.state == Application.State.ACCEPTED and row.volunteer is not None:
        context["link"] = own_page_link(row.volunteer, now)
    return Letter(note.kind, context)


def password_reset(note: Note, now: datetime) -> Letter:
    account = note.account
    if account is None or not account.is_active:
        raise Untrue("The account is closed.")
    # Made now and never stored: whoever reads the outbox must not be able to take an account over.
    uid = urlsafe_base64_encode(force_bytes(account.pk))
    token = password_tokens.make_token(account)
    link = settings.SITE_URL + reverse("password_reset_confirm", args=[uid, token])
    return Letter(note.kind, {"account": account, "link": link})
