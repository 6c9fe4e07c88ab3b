"""A new email address: ask whether it is theirs, then use it and tell the old one."""

from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from core.refusal import Refusal
from outbox.models import Note, NoteState
from outbox.services.writing import drop_waiting, write_note

__all__ = ["ask_address", "use_address"]

# Rows of whichever app: a change has email, asked_at, confirmed_at and link_counter; its owner has name and email.
Change = Any
Owner = Any


def ask_address(
    row: Change, *, kind: str, owner: Owner, email: str, key: str, now: datetime, language: str = ""
) -> None:
    """Ask the new address ``email``, in place of one given before, whose link stops. Must run in a transaction.

    ``kind`` is the letter that asks. ``key`` begins the note's key, such as "change 7".
    """
    drop_waiting(why=gettext("A newer email address was entered."), about=owner, kinds=[kind])
    row.email, row.asked_at = email, now
    row.link_counter += 1
    row.save()
    write_note(
        key=f"{kind}:{key}:link {row.link_counter}",
        kind=kind,
        to_name=owner.name,
        to_email=email,
        summary=(gettext("Confirm new email address: %(name)s") % {"name": owner})[:200],
        due_at=now,
        about=[owner],
        language=language,
    )


def use_address(
    row: Change, *, kind: str, owner: Owner, taken: str, key: str, now: datetime, language: str = ""
) -> None:
    """Use the new address: 1 write it, 2 turn waiting mail to it, 3 tell the old one by a letter of ``kind``.

    Must run in a transaction that has locked ``owner``. Raises Refusal "taken" with the words ``taken`` when somebody
    else has the address.
    """
    old, owner.email = owner.email, row.email
    try:
        with transaction.atomic():
            owner.save(update_fields=["email"])
    except IntegrityError as problem:
        raise Refusal.because("taken", taken) from problem
    row.confirmed_at = now
    row.save(update_fields=["confirmed_at"])
    Note.objects.about(owner).filter(to_email=old, state=NoteState.WAITING).update(to_email=row.email)
    if old:
        write_note(
            key=f"{kind}:{key}",
            kind=kind,
            to_name=owner.name,
            to_email=old,
            summary=(gettext("Notice to old email address: %(name)s") % {"name": owner})[:200],
            due_at=now,
            about=[owner],
            language=language,
        )
