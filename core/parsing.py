"""Finds the row that typed text or an address names."""

from typing import TypeVar

from django.db.models import Model, QuerySet

__all__ = ["row_named", "row_number"]

Row = TypeVar("Row", bound=Model)

# So many digits always fit the database's numbers of rows.
MOST_DIGITS = 18


def row_number(typed: str) -> int | None:
    """The number of a row that a form or an address names; None for anything else."""
    return int(typed) if typed.isdecimal() and len(typed) <= MOST_DIGITS else None


def row_named(rows: QuerySet[Row], typed: str) -> Row | None:
    """The row with the typed number, or None. No query when ``typed`` is not a number."""
    number = row_number(typed)
    return None if number is None else rows.filter(pk=number).first()
