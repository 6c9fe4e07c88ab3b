"""What every letter has: its words, its calendar part, the link that ends mail of its kind; and when it is stale."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, TypeVar

from django.db.models import Model, QuerySet

from core import links
from outbox.models import Note
from outbox.rules.calendar_part import CalendarPart

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

__all__ = ["Letter", "LetterKind", "Stale", "Stop", "row_of"]

Row = TypeVar("Row", bound=Model)


class Stale(Exception):
    """The note is no longer true; its text says why and is kept in the outbox."""


@dataclass(frozen=True)
class Stop:
    """A kind of mail that its reader may end: by a link in it, and by one press in the mail program (RFC 8058)."""

    purpose: str  # of the signed link
    route: str  # of the page that answers it; see outbox.views.stop
    days: int  # for which the link works

    def address(self, row: Model, counter: int, now: datetime) -> str:
        token = links.make(self.purpose, subject=row.pk, counter=counter, expires_at=now + timedelta(days=self.days))
        return links.address(self.route, token)


@dataclass
class Letter:
    """One letter: the context of its templates, its calendar part if any, and the address that ends such mail."""

    context: dict[str, Any]
    part: CalendarPart | None = None
    stop: str = ""


@dataclass(frozen=True)
class LetterKind:
    """One kind of letter, registered by the app that writes it.

    ``code`` is kept in the note, ``folder`` holds subject.txt, body.txt and body.html. ``build`` makes the letter as of
    a moment, or raises Stale when the note should not go out any more. ``languages`` are those it is offered in.
    """

    code: str
    label: "StrOrPromise"
    folder: str
    build: Callable[[Note, datetime], Letter]
    languages: tuple[str, ...] = ("en",)
    stop: Stop | None = None


def row_of(note: Note, rows: QuerySet[Row]) -> Row | None:
    """The row among ``rows`` that the note is about; None when it is about none, or the row is gone."""
    number = note.number_of(rows.model)
    return rows.filter(pk=number).first() if number is not None else None
