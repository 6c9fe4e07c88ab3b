"""What happens to the rows that point at a record: when two records are merged, and when one is forgotten.

Each app declares this for each of its foreign keys to a kind of record, in answer to a hook of the app that keeps the
record. The code does what is declared; ``tests/config/test_model_graph.py`` finds every key that nobody declared.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

from django.db.models import ForeignKey, ManyToOneRel, Model
from pghistory.models import Event

from core.acting import became
from core.hooks import Hook
from core.references import reference

__all__ = [
    "Forgotten",
    "Key",
    "Merged",
    "declared",
    "forget_rows",
    "history_of",
    "keys_to",
    "merge_rows",
    "rows_merging",
    "settled",
]

# For what names a row without a foreign key to it. Called with the row that goes and the one that stays,
# both still there, inside the transaction of merge_rows.
rows_merging: Hook[[Model, Model], None] = Hook("core.rows_merging")


class Merged(Enum):
    """What happens to the rows that point at the record that goes when two are merged."""

    MOVES = "point at the one that stays, all of them"
    FREED = "what the one that stays has already is taken away by its app; the rest moves"
    SETTLED = "its app moves what stays true; what is left goes with the record"
    REFUSED = "move; two that contradict each other mean that the two are not one, so joining is refused"


class Forgotten(Enum):
    """What happens to the rows that point at a record that is forgotten."""

    GOES = "is deleted"
    UNBOUND = "stays without the record, whose own row is deleted"
    EMPTIED = "stays, for counting; what it says in words goes"
    STAYS = "stays as it is, beside a record that names nobody any more"


@dataclass(frozen=True)
class Key:
    """What happens to the rows with one foreign key to a record. ``because`` says why something stays."""

    model: type[Model]
    field: str
    joined: Merged
    forgotten: Forgotten
    because: str = ""


def history_of(model: type[Model]) -> type[Any]:
    """The model of the history that the triggers write for a model's rows."""
    found: type[Any] = model.pgh_event_model  # type: ignore[attr-defined]
    return found


def declared(keys: Hook[[], Sequence[Key]]) -> list[Key]:
    """All keys that the apps declare in answer to a hook."""
    return [key for some in keys.ask() for key in some]


def settled(keys: Iterable[Key]) -> set[type[Model]]:
    """The tables whose rows an app settles by itself, for the ``but`` of ``merge_rows``."""
    return {key.model for key in keys if key.joined is Merged.SETTLED}


def merge_rows(*, gone: Model, kept: Model, but: Collection[type[Model]] = ()) -> None:
    """Move the rows of every table with a foreign key to this kind of row, delete ``gone``, then move its history.

    From here on the history says that ``kept`` did what ``gone`` did to other rows.

    The tables are read from the models themselves, so that one made later is not forgotten. The caller has settled the
    tables of ``but``: rows there that still point at ``gone`` go with it. Call it inside a transaction.

    Raises IntegrityError when both have something that one row can have only once.
    """
    history = []
    for key in keys_to(type(gone)):
        if issubclass(key.model, Event):
            history.append(key)
        elif key.model not in but:
            _move(key, gone.pk, kept.pk)
    rows_merging.ask(gone, kept)
    number, was = gone.pk, reference(gone)
    gone.delete()
    for key in history:
        _move(key, number, kept.pk)
    became(was, reference(kept))


def forget_rows(keys: Iterable[Key], **whose: object) -> None:
    """Delete the rows that are declared to go with a forgotten record; ``whose`` filters by fields of that record."""
    for key in keys:
        if key.forgotten is Forgotten.GOES:
            theirs = {f"{key.field}__{name}": value for name, value in whose.items()}
            key.model._base_manager.filter(**theirs).delete()


def keys_to(model: type[Model]) -> Iterator["ForeignKey[Model, Model]"]:
    """Yield every foreign key to a model in every app, including those of the history."""
    for relation in model._meta.get_fields(include_hidden=True):
        if isinstance(relation, ManyToOneRel) and isinstance(relation.field, ForeignKey):
            yield relation.field


def _move(key: "ForeignKey[Model, Model]", was: int, is_now: int) -> None:
    key.model._base_manager.filter(**{key.attname: was}).update(**{key.attname: is_now})
