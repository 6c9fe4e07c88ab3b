"""Notes to people who log in."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext

from core import clock
from outbox.models import Note
from outbox.services.writing import write_note
from people.letters.accounts import PASSWORD_RESET
from people.models import User

__all__ = ["note_to_account", "write_password_note"]


def note_to_account(
    *,
    kind: str,
    account: User,
    summary: str,
    key: str,
    now: datetime,
    about: Iterable[Model] = (),
    **facts: Any,
) -> Note | None:
    return write_note(
        key=key,
        kind=kind,
        to_name=account.name,
        to_email=account.email,
        summary=summary,
        due_at=now,
        about=[account, *about],
        **facts,
    )


def write_password_note(account: User) -> None:
    """Write the note about a new password: at most one a minute for one account, however often the page is sent."""
    now = clock.now()
    note_to_account(
        kind=PASSWORD_RESET,
        account=account,
        summary=gettext("Password reset for %(name)s") % {"name": account.name},
        key=f"{PASSWORD_RESET}:account {account.pk}:{now:%Y-%m-%dT%H:%M}",
        now=now,
    )
