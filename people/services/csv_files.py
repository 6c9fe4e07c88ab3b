"""Reads a CSV file that somebody sends as rows named by its first line, and refuses in words what is no table."""

import csv
import io
from collections.abc import Sequence

from core.refusal import Refusal

__all__ = ["read_csv"]


def read_csv(raw: bytes, *, needed: Sequence[str], columns: Sequence[str] = (), most: int) -> list[dict[str, str]]:
    """Return the rows that hold anything, by column name in small letters with underscores for spaces.

    A file without the columns in ``needed`` is refused; the refusal names ``columns``, so that somebody can write the
    first line. Raises Refusal in the field "file": not UTF-8, no head, no table, nothing, or more than ``most`` rows.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise Refusal.because(
            "not utf-8",
            "The letters of this file are not UTF-8. Save it again as “CSV UTF-8” and choose it anew.",
            "file",
        ) from problem
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    try:
        names = [(name or "").strip().lower().replace(" ", "_") for name in reader.fieldnames or []]
        reader.fieldnames = names
        missing = [name for name in needed if name not in names]
        if missing:
            list_of = f": {', '.join(columns)}" if columns else ""
            words = f"The first line must name the columns{list_of}. {' and '.join(missing)} can't be found."
            raise Refusal.because("no head", words, "file")
        rows = [row for row in reader if any(str(cell or "").strip() for cell in row.values())]
    except csv.Error as problem:
        raise Refusal.because(
            "not a table", f"The file can't be read as a table near line {reader.line_num}: {problem}.", "file"
        ) from problem
    if len(rows) > most:
        raise Refusal.because("too many", f"That is more than {most:,} rows. Split the file.", "file")
    if not rows:
        raise Refusal.because("empty", "There is no row under the first line.", "file")
    return rows
