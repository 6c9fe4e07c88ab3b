"""Reading a table, taking it, and undoing that. Nothing is written until it is taken; then all of it or none."""

from datetime import date, datetime
from functools import partial

from django.core.cache import cache
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from config import clock
from config.refusal import Refusal
from config.secret_text import LostKey
from config.wake import wake
from people.models import Clearance, ClearanceKind, Import, User, Volunteer, duties
from people.rules import volunteer_rows as rule
from people.rules.household_rows import HOUSEHOLD_HEAD
from people.services import household_rows
from people.services.csv_files import read_csv

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
    heads = {Import.What.VOLUNTEERS: rule.VOLUNTEER_HEAD, Import.What.HOUSEHOLDS: HOUSEHOLD_HEAD}
    check_size(len(raw))
    head = heads.get(Import.What(what), rule.CLEARANCE_HEAD)
    rows = read_csv(raw, needed=head[:2], columns=head, most=MOST_ROWS)
    if what == Import.What.HOUSEHOLDS:
        found = household_rows.read_rows(rows, today)
    elif what == Import.What.VOLUNTEERS:
        taken = {email.lower() for email in Volunteer.objects.values_list("email", flat=True)}
        found = rule.read_volunteers(rows, duties().codes, taken)
    else:
        people = {email.lower(): pk for email, pk in Volunteer.objects.values_list("email", "pk")}
        kinds: dict[str, int] = {}
        for pk, code, kind_name in ClearanceKind.objects.values_list("pk", "code", "name"):
            kinds |= {code.lower(): pk, kind_name.lower(): pk}
        found = rule.read_clearances(rows, people, kinds, today)
    return Import.objects.create(
        what=what,
        file_name=name[:120],
        rows=found.good,
        bad=[{"line": row.line, "reasons": row.reasons} for row in found.bad],
        by=by,
        read_at=now,
    )


@transaction.atomic
def start_taking(*, table: Import, by: User, now: datetime) -> Import:
    """Mark the table as being taken and wake the worker; a second press changes nothing.

    Raises Refusal for a table that was undone.
    """
    row = Import.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state == Import.State.UNDONE:
        raise Refusal.because("undone", "This table was taken and undone. Read the file again to take it anew.")
    if row.state != Import.State.TAKEN:
        row.state, row.by, row.trouble = Import.State.TAKING, by, ""
        row.save(update_fields=["state", "by", "trouble"])
        transaction.on_commit(partial(_wake, row.pk), robust=True)
    return row


def take_in_pieces(*, table: Import, now: datetime) -> Import:
    """Write every good row, or none, telling how far it is. Taking it twice writes it once."""
    try:
        return _take(table, now)
    except (IntegrityError, Refusal):
        return _not_taken(table, "Somebody has added one of these since the file was read, so nothing was taken.")
    except LostKey:
        return _not_taken(table, "The key under which its care notes were locked is gone, so nothing was taken.")
    finally:
        cache.delete(_progress_key(table.pk))


def _not_taken(table: Import, trouble: str) -> Import:
    trouble = f"{trouble} Read the file again."
    Import.objects.filter(pk=table.pk).update(state=Import.State.READ, trouble=trouble)
    table.refresh_from_db()
    return table


def progress(table: Import) -> int:
    """How many rows are written so far; told outside the transaction, which others can't see into."""
    return int(cache.get(_progress_key(table.pk), 0))


@transaction.atomic
def _take(table: Import, now: datetime) -> Import:
    row = Import.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state != Import.State.TAKING:
        return row
    if row.what == Import.What.HOUSEHOLDS:
        row.made = household_rows.write_rows(row.rows, clock.today(), now)
        row.rows = household_rows.without_locked(row)
        row.state, row.taken_at = Import.State.TAKEN, now
        row.save()
        return row
    model: type[Volunteer] | type[Clearance] = Volunteer if row.what == Import.What.VOLUNTEERS else Clearance
    more = {} if model is Volunteer else {"recorded_by_id": row.by_id}
    made: list[int] = []
    for start in range(0, len(row.rows), BATCH):
        piece = [model(**facts, **more) for facts in row.rows[start : start + BATCH]]
        made += [one.pk for one in model._default_manager.bulk_create(piece)]  # type: ignore[arg-type]
        cache.set(_progress_key(row.pk), len(made), 3600)
    row.made, row.state, row.taken_at = made, Import.State.TAKEN, now
    row.save()
    return row


def _progress_key(pk: int) -> str:
    return f"import-progress:{pk}"


def _wake(pk: int) -> None:
    if not wake("people.take_import", pk):
        Import.objects.filter(pk=pk, state=Import.State.TAKING).update(
            state=Import.State.READ, trouble="The worker could not be reached. Try once more in a minute."
        )


@transaction.atomic
def undo(*, table: Import, by: User) -> int:
    """Take back what an import wrote, all of it or none; returns how many rows went."""
    row = Import.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state != Import.State.TAKEN:
        return 0
    try:
        with transaction.atomic():
            if row.what == Import.What.HOUSEHOLDS:
                count = household_rows.undo_rows(row.made)
                row.rows = household_rows.without_locked(row)
            elif row.what == Import.What.VOLUNTEERS:
                gone = Volunteer.objects.filter(pk__in=row.made)
                count = gone.count()
                gone.delete()
            else:
                records = Clearance.objects.filter(pk__in=row.made)
                count = records.count()
                records.delete()
    except ProtectedError as problem:
        raise Refusal.because(
            "in use", "Somebody of this table has been asked for a shift since, so it can't be undone in one press."
        ) from problem
    row.state = Import.State.UNDONE
    row.save()
    return count


def check_size(size: int) -> None:
    """Refusal for a file that is too large to be read, before it is read."""
    if size > MOST_BYTES:
        raise Refusal.because("too large", "That file is larger than 10 MB. Split it and read the parts.", "file")
