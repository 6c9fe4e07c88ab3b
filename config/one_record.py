"""Two rows that turn out to be one: whatever points at the one that goes points at the one that stays."""

from collections.abc import Collection, Iterator

from django.db.models import ForeignKey, ManyToOneRel, Model
from pghistory.models import Event

__all__ = ["become_one"]


def become_one(*, gone: Model, kept: Model, but: Collection[type[Model]] = ()) -> None:
    """Move the rows of every table with a foreign key to this kind of row, delete ``gone``, then move its history.

    The tables are read from the models themselves, so that one made later is not forgotten. What is left at ``gone``
    in the tables of ``but``, which the caller has settled, goes with it. Call it inside a transaction.

    Raises IntegrityError where the two hold what one row can't hold twice.
    """
    history = []
    for key in _keys_to(type(gone)):
        if issubclass(key.model, Event):
            history.append(key)
        elif key.model not in but:
            _move(key, gone.pk, kept.pk)
    number = gone.pk
    gone.delete()
    for key in history:
        _move(key, number, kept.pk)


def _keys_to(model: type[Model]) -> Iterator["ForeignKey[Model, Model]"]:
    for relation in model._meta.get_fields(include_hidden=True):
        if isinstance(relation, ManyToOneRel) and isinstance(relation.field, ForeignKey):
            yield relation.field


def _move(key: "ForeignKey[Model, Model]", was: int, is_now: int) -> None:
    key.model._base_manager.filter(**{key.attname: was}).update(**{key.attname: is_now})
