"""CSV as it leaves the house: a cell that a spreadsheet would run as a formula is made plain text."""

import csv
import io
from collections.abc import Iterable, Sequence

from django.http import HttpResponse

__all__ = ["csv_answer", "plain_cell"]

# OWASP, "CSV Injection": what begins with one of these is a formula to common spreadsheets.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def plain_cell(value: object) -> str:
    """``value`` as text that no spreadsheet runs; an empty cell for None."""
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def csv_answer(name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """A download called ``name``, UTF-8 with a mark so that spreadsheets read names rightly."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(head)
    writer.writerows([plain_cell(cell) for cell in row] for row in rows)
    return HttpResponse(
        out.getvalue().encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
