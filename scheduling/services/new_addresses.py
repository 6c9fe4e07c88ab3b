"""A new mail address of somebody in the books: asked whether it is theirs, then used, and the old one told."""

from datetime import datetime
from typing import Protocol

from django.db import IntegrityError, transaction
from django.db.models import Model

from config.refusal import Refusal
from scheduling.models import Note, NoteKind, NoteState
from scheduling.services.outbox import drop_waiting, write_note

__all__ = ["ask_address", "use_address"]


class Change(Protocol):
    """A row that keeps the new address until it has answered."""

    email: str
    asked_at: datetime
    confirmed_at: datetime | None
    link_counter: int

    def save(self, *, update_fields: list[str] | None = None) -> None: ...


class Owner(Protocol):
    """Whose address it is."""

    name: str
    email: str

    def save(self, *, update_fields: list[str] | None = None) -> None: ...


def ask_address(row: Change, *, owner: Owner, about: dict[str, Model], email: str, key: str, now: datetime) -> None:
    """Ask the address instead of one given before; its earlier link stops. Must run in a transaction.

    ``about`` names the owner as notes do, such as ``{"volunteer": owner}``; ``key`` begins the note's key, such as
    "change 7".
    """
    drop_waiting(why="Another address was given since.", kind=NoteKind.ADDRESS_CONFIRM, **about)
    row.email, row.asked_at = email, now
    row.link_counter += 1
    row.save()
    write_note(
        key=f"{NoteKind.ADDRESS_CONFIRM}:{key}:link {row.link_counter}",
        kind=NoteKind.ADDRESS_CONFIRM,
        to_name=owner.name,
        to_email=email,
        summary=f"Confirm a new address: {owner}"[:200],
        due_at=now,
        **about,
    )


def use_address(row: Change, *, owner: Owner, about: dict[str, Model], taken: str, key: str, now: datetime) -> None:
    """1 write the address, 2 turn mail that has not gone out, 3 tell the old one. Must run in a transaction.

    ``owner`` is locked. Raises Refusal "taken" with the words ``taken`` when somebody else has the address.
    """
    old, owner.email = owner.email, row.email
    try:
        with transaction.atomic():
            owner.save(update_fields=["email"])
    except IntegrityError as problem:
        raise Refusal.because("taken", taken) from problem
    row.confirmed_at = now
    row.save(update_fields=["confirmed_at"])
    Note.objects.filter(to_email=old, state=NoteState.WAITING, **about).update(to_email=row.email)
    if old:
        write_note(
            key=f"{NoteKind.ADDRESS_CHANGED}:{key}",
            kind=NoteKind.ADDRESS_CHANGED,
            to_name=owner.name,
            to_email=old,
            summary=f"Tell the old address: {owner}"[:200],
            due_at=now,
            **about,
        )
