"""Households of a table: kept with the care notes locked, written by whole households, and taken back.

The table's rows stay with its Import for a look. Allergies and care notes are encrypted there with CARE_KEYS from the
moment they are read, are never shown, and are wiped once the table is taken or undone.
"""

from collections.abc import Callable, Collection, Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext
from pghistory.models import Event

from core import clock
from core.merge import keys_to
from core.refusal import Refusal
from core.secret_text import opened, sealed
from families.models import CareReading, Child, Guardian, Guardianship, PhotoAnswer, PickupPerson
from families.rules.allergies import answer_in_file
from families.rules.household_rows import HOUSEHOLD_HEAD, LOCKED, household_key, read_households
from families.services.households import ChildFacts, HouseholdFacts, PickupPersonFacts, write_child
from families.services.redaction import forget_history
from families.words.household_rows import household_problem
from outbox.services.subjects import forget_about_any
from people.models import Import
from people.rules.volunteer_rows import BadRow, ReadRows
from people.table_kinds import TableKind

__all__ = ["forget_in_tables", "household_tables", "read_rows", "undo_rows", "without_locked", "write_rows"]

# What a table itself brings with a child, and who has looked at it: nothing of that stands in the way of undoing.
ITS_OWN = (CareReading, PickupPerson, Guardianship, PhotoAnswer)


def household_tables() -> Mapping[str, TableKind]:
    """Answers ``people.hooks.table_kinds``."""
    kind = TableKind(head=HOUSEHOLD_HEAD, read=read_rows, write=_write_table, undo=undo_rows, kept=without_locked)
    return {Import.What.HOUSEHOLDS.value: kind}


def _write_table(table: Import, now: datetime, _so_far: Callable[[int], None]) -> list[int]:
    """A household is more than one row, so nothing is told until all are written."""
    return write_rows(table.rows, clock.today(), now)


def read_rows(rows: list[dict[str, str]], today: date) -> ReadRows:
    """Sort the rows of a file, encrypt what is locked in those that can be imported, and word what is wrong."""
    found = read_households(rows, _taken(), today)
    for row in found.good:
        for name in LOCKED:
            row[name] = sealed(str(row[name]))
    found.bad = [BadRow(row.line, [household_problem(one) for one in row.reasons]) for row in found.bad]
    return found


@transaction.atomic
def write_rows(rows: list[dict[str, Any]], today: date, now: datetime) -> list[int]:
    """Write every household or none; returns the numbers of the children. No one has signed by a table.

    Raises Refusal when someone of the table has come into the books since it was read.
    """
    taken = _taken()
    guardians: dict[str, Guardian] = {}
    made = []
    for row in rows:
        key = household_key(row["guardian_email"], row["guardian_phone"])
        if key in taken:
            raise Refusal.because("here already", gettext("Someone in this file was added after you uploaded it."))
        guardian = guardians.get(key)
        if guardian is None:
            guardian = guardians[key] = Guardian.objects.create(
                name=row["guardian_name"],
                email=row["guardian_email"],
                phone=row["guardian_phone"],
                language=row["language"],
                registered_at=now,
            )
        locked = {name: opened(row[name]) for name in LOCKED}
        answer, locked["allergies"] = answer_in_file(locked["allergies"])
        facts = ChildFacts(
            name=row["child_name"],
            birth_date=date.fromisoformat(row["birth_date"]),
            experience=row["experience"],
            school_year=row["school_year"],
            allergies_answer=answer,
            **locked,
        )
        household = HouseholdFacts(
            guardian_name=guardian.name,
            emergency_name=row["emergency_name"],
            emergency_phone=row["emergency_phone"],
            pickup_people=[PickupPersonFacts(name) for name in row["pickup_people"]],
        )
        child = write_child(facts=facts, household=household, guardian=guardian, today=today, now=now)
        made.append(child.pk)
    return made


@transaction.atomic
def undo_rows(made: list[int]) -> int:
    """Take back the children of a table, with the guardians who came with them; returns how many children.

    Raises Refusal once someone has signed for one of them, anything else (a spot) hangs on one, a guardian
    has used the mailed link, or the office has written whom a child is not handed to: that is no longer the table's.
    """
    children = Child.objects.filter(pk__in=made)
    # Asked of the models themselves, since this app may not know what the others keep of a child.
    for key in keys_to(Child):
        if key.model in ITS_OWN or issubclass(key.model, Event):
            continue
        if key.model._default_manager.filter(**{f"{key.name}__in": made}).exists():
            raise Refusal.because(
                "in use",
                gettext(
                    "A child from this import has a spot or a waiver by now, so this import can’t be undone. "
                    "Change those records by hand."
                ),
            )
    answered = Guardian.objects.filter(guardianships__child__in=made, confirmed_at__isnull=False).exists()
    if answered or PickupPerson.objects.filter(child__in=made, must_not=True).exists():
        raise Refusal.because(
            "in use",
            gettext(
                "A guardian from this import has opened their family page, or a child has a “must not pick up” entry, "
                "so this import can’t be undone. Change those records by hand."
            ),
        )
    guardians = list(Guardian.objects.filter(guardianships__child__in=made).values_list("pk", flat=True))
    count = children.count()
    children.delete()
    alone = Guardian.objects.filter(pk__in=guardians, guardianships__isnull=True, confirmed_at__isnull=True)
    gone = list(alone.values_list("pk", flat=True))
    forget_about_any(model=Guardian, numbers=gone)
    alone.delete()
    # No retention would ever come by again for the history of a row that is not there.
    forget_history(Child, pgh_obj_id__in=made)
    forget_history(Guardian, pgh_obj_id__in=gone)
    for model in (PickupPerson, Guardianship, PhotoAnswer):
        forget_history(model, child_id__in=made)
    return count


@transaction.atomic
def forget_in_tables(*, children: Collection[int], email: str) -> None:
    """Empty what tables still hold of a household that is forgotten, until they are emptied whole.

    A row that was taken stays, empty, so that the others keep their numbers; one that was not yet is left out.
    """
    for table in Import.objects.select_for_update(no_key=True).filter(what=Import.What.HOUSEHOLDS).exclude(rows=[]):
        made = table.made if len(table.made) == len(table.rows) else [0] * len(table.rows)
        theirs = [
            number in children or bool(email and row["guardian_email"].casefold() == email.casefold())
            for number, row in zip(made, table.rows, strict=True)
        ]
        if not any(theirs):
            continue
        rows = zip(table.rows, theirs, strict=True)
        if table.made:
            table.rows = [{**dict.fromkeys(row, ""), "pickup_people": []} if gone else row for row, gone in rows]
        else:
            table.rows = [row for row, gone in rows if not gone]
        table.save(update_fields=["rows"])


def without_locked(table: Import) -> list[dict[str, Any]]:
    """The table's rows with nothing left of what was locked."""
    return [{**row, **dict.fromkeys(LOCKED, "")} for row in table.rows]


def _taken() -> set[str]:
    found = Guardian.objects.filter(forgotten_at__isnull=True).values_list("email", "phone")
    return {household_key(email, phone) for email, phone in found} | {
        household_key("", phone) for _, phone in found if phone
    }
