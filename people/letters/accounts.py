"""Letters to people who log in, and to people who want to volunteer."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core import links
from core.hooks import Hook
from outbox.letters import Letter, LetterKind, Stale, row_of
from outbox.models import Note
from people.models import Application, User, Volunteer
from people.passwords import password_tokens

__all__ = [
    "APPLY_ACCEPTED",
    "APPLY_CONFIRM",
    "APPLY_DECLINED",
    "APPLY_MORE",
    "LETTERS",
    "PASSWORD_RESET",
    "own_page_address",
]

PASSWORD_RESET = "password-reset"
APPLY_CONFIRM = "apply-confirm"
APPLY_MORE = "apply-more"
APPLY_ACCEPTED = "apply-accepted"
APPLY_DECLINED = "apply-declined"

# The address of a volunteer's own page as of a moment; one answer.
own_page_address: Hook[[Volunteer, datetime], str] = Hook("people.own_page_address")

APPLY_DAYS = 14


def _application(note: Note) -> Application:
    row = row_of(note, Application.objects.select_related("volunteer"))
    if row is None:
        raise Stale(gettext("The application is no longer on file."))
    return row


def apply_link(note: Note, now: datetime) -> Letter:
    """Ask an applicant to confirm the email address or to answer one more question, by the application's link."""
    row = _application(note)
    wanted = Application.State.UNCONFIRMED if note.kind == APPLY_CONFIRM else Application.State.MORE_ASKED
    if row.state != wanted:
        raise Stale(gettext("This application’s status changed: %(status)s.") % {"status": row.get_state_display()})
    expires_at = now + timedelta(days=APPLY_DAYS)
    token = links.make("apply", subject=row.pk, counter=row.link_counter, expires_at=expires_at)
    return Letter({"row": row, "link": links.address("join-link", token)})


def apply_decided(note: Note, now: datetime) -> Letter:
    row = _application(note)
    context: dict[str, Any] = {"row": row}
    if row.state == Application.State.ACCEPTED and row.volunteer is not None:
        context["link"] = own_page_address.ask_one(row.volunteer, now)
    return Letter(context)


def password_reset(note: Note, _now: datetime) -> Letter:
    account = row_of(note, User.objects.all())
    if account is None or not account.is_active:
        raise Stale(gettext("The account is closed."))
    # Made now and never stored: whoever reads the outbox must not be able to take an account over.
    uid = urlsafe_base64_encode(force_bytes(account.pk))
    token = password_tokens.make_token(account)
    link = settings.SITE_URL + reverse("password_reset_confirm", args=[uid, token])
    return Letter({"account": account, "link": link})


LETTERS = (
    LetterKind(PASSWORD_RESET, _("password reset"), "people/mail/password-reset", password_reset),
    LetterKind(APPLY_CONFIRM, _("email to confirm"), "people/mail/apply-confirm", apply_link),
    LetterKind(APPLY_MORE, _("question about application"), "people/mail/apply-more", apply_link),
    LetterKind(APPLY_ACCEPTED, _("application accepted"), "people/mail/apply-accepted", apply_decided),
    LetterKind(APPLY_DECLINED, _("application declined"), "people/mail/apply-declined", apply_decided),
)
