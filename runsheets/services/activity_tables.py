"""Activities from a CSV file: read for a look, imported all or none, and undone while no run sheet has them."""

from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from core.refusal import Reason, Refusal
from people.models import User
from people.services.csv_files import read_csv
from runsheets.models import Activity, ActivityTable, RunSheetPlan
from runsheets.rules.activity_rows import ACTIVITY_HEAD, read_activities
from runsheets.services.activities import free_code

__all__ = ["MOST_BYTES", "MOST_ROWS", "check_size", "read_table", "take_table", "undo_table"]

MOST_BYTES = 200_000
MOST_ROWS = 500
State = ActivityTable.State


def check_size(size: int) -> None:
    """Raise Refusal, before anything is read, for a file that is too large."""
    if size > MOST_BYTES:
        words = gettext("That file is larger than 200 kB. Split it into smaller files and upload each one.")
        raise Refusal.because("too large", words, "file")


@transaction.atomic
def read_table(*, name: str, raw: bytes, by: User, now: datetime) -> ActivityTable:
    """Keep what a file holds for a look, and write no activity. Raises Refusal for a file that is no table."""
    check_size(len(raw))
    rows = read_csv(raw, needed=("name", "kind", "least_minutes", "most_minutes"), most=MOST_ROWS)
    there = {one.code: _facts(one) for one in Activity.objects.all()}
    found = read_activities(rows, there)
    return ActivityTable.objects.create(
        file_name=name[:120],
        rows=[{"line": row.line, "code": row.code, "facts": row.facts} for row in found.good],
        bad=[asdict(row) for row in found.bad],
        by=by,
        read_at=now,
    )


@transaction.atomic
def take_table(*, table: ActivityTable, by: User, now: datetime) -> ActivityTable:
    """Write every good row, or none: 1 lock the table and the activities, 2 keep what was, 3 write. Twice writes once.

    Raises Refusal for a table that was undone, and for one that no longer fits what is there.
    """
    row = ActivityTable.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state == State.TAKEN:
        return row
    if row.state == State.UNDONE:
        raise Refusal.because("undone", gettext("This import was undone. To import it again, upload the file again."))
    known = {one.code: one for one in Activity.objects.select_for_update(no_key=True)}
    if any(line["code"] and line["code"] not in known for line in row.rows):
        raise _meanwhile()
    made, before = [], {}
    try:
        with transaction.atomic():
            for line in row.rows:
                one = known.get(line["code"])
                if one is None:
                    one = Activity(code=free_code(line["facts"]["name"]))
                else:
                    before[one.code] = {name: getattr(one, name) for name in line["facts"]}
                _write(one, line["facts"])
                made.append(one.code)
    except IntegrityError as problem:
        raise _meanwhile() from problem
    row.made, row.before, row.state, row.by, row.taken_at = made, before, State.TAKEN, by, now
    row.save()
    return row


@transaction.atomic
def undo_table(*, table: ActivityTable, now: datetime) -> int:
    """Take back what a table wrote, all of it or none; returns how many activities went or became what they were.

    Raises Refusal that names each activity which has been changed since or is on a run sheet.
    """
    row = ActivityTable.objects.select_for_update(no_key=True).get(pk=table.pk)
    if row.state != State.TAKEN:
        return 0
    there = {one.code: one for one in Activity.objects.select_for_update(no_key=True).filter(code__in=row.made)}
    reasons = []
    for code, line in zip(row.made, row.rows, strict=True):
        one = there.get(code)
        if one is None:
            continue
        if any(getattr(one, name) != fact for name, fact in line["facts"].items()):
            reasons.append(Reason("changed since", gettext("%(name)s has changed since the import.") % {"name": one}))
        elif code not in row.before and _on_a_sheet(code):
            reasons.append(Reason("on a run sheet", gettext("%(name)s is on a run sheet.") % {"name": one}))
    if reasons:
        last = Reason("kept", gettext("Nothing was undone. Edit or archive the activities you don’t want."))
        raise Refusal(*reasons, last)
    try:
        with transaction.atomic():
            for code, one in there.items():
                if code in row.before:
                    _write(one, row.before[code])
                else:
                    one.delete()
    except IntegrityError as problem:
        words = gettext("Another activity now uses one of these names, so nothing was undone. Edit them by hand.")
        raise Refusal.because("name taken", words) from problem
    row.state, row.undone_at = State.UNDONE, now
    row.save(update_fields=["state", "undone_at"])
    return len(there)


def _facts(one: Activity) -> dict[str, str | int]:
    return {name: getattr(one, name) for name in ACTIVITY_HEAD if name != "code"}


def _write(one: Activity, facts: dict[str, Any]) -> None:
    for name, fact in facts.items():
        setattr(one, name, fact)
    one.save()


def _on_a_sheet(code: str) -> bool:
    return RunSheetPlan.objects.filter(facts__activities__contains=[{"code": code}]).exists()


def _meanwhile() -> Refusal:
    words = gettext("Someone changed one of these while you were working, so nothing was saved. Upload the file again.")
    return Refusal.because("there already", words)
