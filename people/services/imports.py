"""Checking a file, importing it, and undoing that. Nothing is written until it is imported; then all of it or none."""

from collections.abc import Callable
from datetime import date, datetime
from functools import partial

from django.core.cache import cache
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError
from django.utils.translation import gettext

from core.enqueue import enqueue
from core.refusal import Refusal
from core.secret_text import LostKey
from outbox.services.subjects import forget_about_any
from people.hooks import table_kinds
from people.models import Clearance, ClearanceKind, Import, User, Volunteer, duties
from people.rules import volunteer_rows as rule
from people.services.csv_files import read_csv
from people.table_kinds import TableKind
from people.words.tables import row_problem

__all__ = [
    "MOST_BYTES",
    "MOST_ROWS",
    "check_size",
    "progress",
    "read_table",
    "start_taking",
    "take_in_pieces",
    "undo",
]

MOST_BYTES = 10 * 1024 * 1024
MOST_ROWS = 50_000
BATCH = 2000


@transaction.atomic
def read_table(*, what: str, name: str, raw: bytes, by: User, now: datetime, today: date) -> Import:
    """Read a CSV file and keep what it holds for a look before it is taken. Writes no volunteer and no clearance."""
    check_size(len(raw))
    kind = _kind(what)
    found = kind.read(read_csv(raw, needed=kind.head[:2], columns=kind.head, most=MOST_ROWS), today)
    return Import.objects.create(
        what=what,
        file_name=name[:120],
        rows=found.good,
        bad=[{"line": row.line, "reasons": [row_problem(one) for one in row.reasons]} for row in found.bad],
        by=by,
        read_at=now,
    )


@transaction.atomic
def start_taking(*, table: Import, by: User) -> Import:
    """Mark the table as being taken and wake the worker; a second press changes nothing.

    Raises Refusal for a table that was undone.
    """
    row = Import.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state == Import.State.UNDONE:
        raise Refusal.because("undone", gettext("This import was undone. To import it again, upload the file again."))
    if row.state != Import.State.TAKEN:
        row.state, row.by, row.trouble = Import.State.TAKING, by, ""
        row.save(update_fields=["state", "by", "trouble"])
        transaction.on_commit(partial(_wake, row.pk), robust=True)
    return row


def take_in_pieces(*, table: Import, now: datetime) -> Import:
    """Write every good row or none, and tell meanwhile how many are written. Taking it twice writes it once."""
    try:
        return _take(table, now)
    except (IntegrityError, Refusal):
        return _not_taken(
            table,
            gettext(
                "Someone added one of these after you uploaded the file, so nothing was imported. "
                "Upload the file again."
            ),
        )
    except LostKey:
        return _not_taken(
            table,
            gettext(
                "We can no longer unlock the care notes in this file, so nothing was imported. Upload the file again."
            ),
        )
    finally:
        cache.delete(_progress_key(table.pk))


def _not_taken(table: Import, trouble: str) -> Import:
    Import.objects.filter(pk=table.pk).update(state=Import.State.READ, trouble=trouble)
    table.refresh_from_db()
    return table


def progress(table: Import) -> int:
    """The number of rows written so far. It is told outside the transaction, which others can't see into."""
    return int(cache.get(_progress_key(table.pk), 0))


@transaction.atomic
def _take(table: Import, now: datetime) -> Import:
    row = Import.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state != Import.State.TAKING:
        return row
    kind = _kind(row.what)
    row.made = kind.write(row, now, lambda count: cache.set(_progress_key(row.pk), count, 3600))
    row.rows = kind.kept(row)
    row.state, row.taken_at = Import.State.TAKEN, now
    row.save()
    return row


def _progress_key(pk: int) -> str:
    return f"import-progress:{pk}"


def _wake(pk: int) -> None:
    if not enqueue("people.take_import", pk):
        Import.objects.filter(pk=pk, state=Import.State.TAKING).update(
            state=Import.State.READ, trouble=gettext("We couldn’t start the import. Try again in a minute.")
        )


@transaction.atomic
def undo(*, table: Import) -> int:
    """Take back what an import wrote, all of it or none; returns how many rows went. Raises Refusal "in use"."""
    row = Import.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state != Import.State.TAKEN:
        return 0
    try:
        with transaction.atomic():
            kind = _kind(row.what)
            count = kind.undo(row.made)
            row.rows = kind.kept(row)
    except ProtectedError as problem:
        raise Refusal.because(
            "in use",
            gettext(
                "Someone in this import has since been asked for a shift, so this import can’t be undone. "
                "Change those records by hand."
            ),
        ) from problem
    row.state = Import.State.UNDONE
    row.save()
    return count


def check_size(size: int) -> None:
    """Raise Refusal, before anything is read, for a file that is too large."""
    if size > MOST_BYTES:
        words = gettext("That file is over 10 MB. Split it into smaller files and upload each one.")
        raise Refusal.because("too large", words, "file")


def _kind(what: str) -> TableKind:
    kinds = {Import.What.VOLUNTEERS.value: VOLUNTEERS, Import.What.CLEARANCES.value: CLEARANCES}
    for more in table_kinds.ask():
        kinds |= more
    return kinds[what]


def _read_volunteers(rows: list[dict[str, str]], _today: date) -> rule.ReadRows:
    taken = {email.lower() for email in Volunteer.objects.values_list("email", flat=True)}
    return rule.read_volunteers(rows, duties().codes, taken)


def _read_clearances(rows: list[dict[str, str]], today: date) -> rule.ReadRows:
    people = {email.lower(): pk for email, pk in Volunteer.objects.values_list("email", "pk")}
    kinds: dict[str, int] = {}
    for pk, code, kind_name in ClearanceKind.objects.values_list("pk", "code", "name"):
        kinds |= {code.lower(): pk, kind_name.lower(): pk}
    return rule.read_clearances(rows, people, kinds, today)


def _write(
    model: type[Volunteer] | type[Clearance], table: Import, more: dict[str, object], so_far: Callable[[int], None]
) -> list[int]:
    made: list[int] = []
    for start in range(0, len(table.rows), BATCH):
        piece = [model(**facts, **more) for facts in table.rows[start : start + BATCH]]
        made += [one.pk for one in model._default_manager.bulk_create(piece)]  # type: ignore[arg-type]
        so_far(len(made))
    return made


def _undo(model: type[Volunteer] | type[Clearance], made: list[int]) -> int:
    rows = model._default_manager.filter(pk__in=made)
    count = rows.count()
    forget_about_any(model=model, numbers=made)
    rows.delete()
    return count


VOLUNTEERS = TableKind(
    head=rule.VOLUNTEER_HEAD,
    read=_read_volunteers,
    write=lambda table, _now, so_far: _write(Volunteer, table, {}, so_far),
    undo=partial(_undo, Volunteer),
)
CLEARANCES = TableKind(
    head=rule.CLEARANCE_HEAD,
    read=_read_clearances,
    write=lambda table, _now, so_far: _write(Clearance, table, {"recorded_by_id": table.by_id}, so_far),
    undo=partial(_undo, Clearance),
)
