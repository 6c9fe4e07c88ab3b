"""Reads a CSV file that someone uploads as rows named by its first one, and refuses in words what is no such file."""

import csv
import io
from collections.abc import Sequence

from django.utils.translation import gettext, ngettext

from core.formats import amount
from core.refusal import Refusal

__all__ = ["read_csv"]


def read_csv(raw: bytes, *, needed: Sequence[str], columns: Sequence[str] = (), most: int) -> list[dict[str, str]]:
    """Return the rows that hold anything, by column name in small letters with underscores for spaces.

    A file without the columns in ``needed`` is refused; the refusal names ``columns``, so that someone can write the
    first row. Raises Refusal in the field "file": not UTF-8, no head, no table, nothing, or more than ``most`` rows.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise Refusal.because(
            "not utf-8",
            gettext("This file isn’t in UTF-8 format. Save it as “CSV UTF-8” and upload it again."),
            "file",
        ) from problem
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    try:
        names = [(name or "").strip().lower().replace(" ", "_") for name in reader.fieldnames or []]
        reader.fieldnames = names
        missing = [name for name in needed if name not in names]
        if missing:
            raise Refusal.because("no head", _no_head(columns, missing), "file")
        rows = [row for row in reader if any(str(cell or "").strip() for cell in row.values())]
    except csv.Error as problem:
        facts = {"line": reader.line_num, "problem": problem}
        words = gettext("We can’t read the file near line %(line)d (%(problem)s). Check that line.") % facts
        raise Refusal.because("not a table", words, "file") from problem
    if len(rows) > most:
        words = ngettext(
            "That file has more than %(most)s row. Split it into smaller files.",
            "That file has more than %(most)s rows. Split it into smaller files.",
            most,
        )
        raise Refusal.because("too many", words % {"most": amount(most)}, "file")
    if not rows:
        raise Refusal.because("empty", gettext("The file has column names but no rows. Add rows below them."), "file")
    return rows


def _no_head(columns: Sequence[str], missing: Sequence[str]) -> str:
    facts = {"columns": ", ".join(columns), "missing": ", ".join(missing)}
    if columns:
        return gettext("The first row must have the column names: %(columns)s. We can’t find: %(missing)s.") % facts
    return gettext("The first row must have the column names. We can’t find: %(missing)s.") % facts
