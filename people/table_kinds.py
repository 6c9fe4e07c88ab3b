"""What a kind of uploaded file can do: be read, be written, and be undone."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from people.models import Import
from people.rules.volunteer_rows import ReadRows

__all__ = ["TableKind"]


def _all_rows(table: Import) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = table.rows
    return rows


@dataclass(frozen=True)
class TableKind:
    head: Sequence[str]  # the columns; without the first two it can't be read
    # What of the file can be imported, as of a day.
    read: Callable[[list[dict[str, str]], date], ReadRows]
    # Write every row or none, saying how many are written so far; returns the numbers of what was written.
    write: Callable[[Import, datetime, Callable[[int], None]], list[int]]
    # Remove what has these numbers; returns how many it was.
    undo: Callable[[list[int]], int]
    # What stays of the rows, for a look, once the table is imported or undone.
    kept: Callable[[Import], list[dict[str, Any]]] = _all_rows
