"""A row named by text, as "clinics.clinic:12": for code that points at rows of any app and imports none of them."""

from collections.abc import Iterable
from typing import overload

from django.db.models import Model

__all__ = ["number_in", "reference", "references"]


@overload
def reference(what: Model) -> str: ...
@overload
def reference(what: type[Model], number: int) -> str: ...
def reference(what: Model | type[Model], number: int | None = None) -> str:
    """The reference to a row, given the row, or its model and its number."""
    if number is None:
        number = what.pk
    if number is None:
        raise ValueError(f"{what!r} has no number yet, so nothing can point at it.")
    return f"{what._meta.label_lower}:{number}"


def references(rows: Iterable[Model | None]) -> list[str]:
    """The references to all of ``rows`` that are not None, each once."""
    return list(dict.fromkeys(reference(row) for row in rows if row is not None))


def number_in(about: Iterable[str], model: type[Model]) -> int | None:
    """The number of the first row of this model among the references."""
    start = f"{model._meta.label_lower}:"
    return next((int(one.removeprefix(start)) for one in about if one.startswith(start)), None)
