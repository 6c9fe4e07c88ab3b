"""Registrations a second through the service by eight threads, as a ratio to the bare INSERTs of the same rows."""

import time
import uuid
from collections.abc import Callable
from threading import Thread
from typing import Any

import pytest
from django.db import connection

from core import clock
from families.models import Child, Guardian, Guardianship, PhotoAnswer, PickupPerson, Registration, Spot, Waiver
from families.services.registering import register
from outbox.models import Note
from tests.benchmarks.conftest import report

THREADS, EACH = 8, 25
# In the order in which the rows lean on each other.
TABLES = (Guardian, Child, Guardianship, PickupPerson, PhotoAnswer, Waiver, Registration, Spot, Note)

Row = tuple[Any, ...]
Rows = list[tuple[str, list[Row]]]


def by_threads(work: Callable[[int], None]) -> float:
    """Seconds that eight threads take together."""

    def run(number: int) -> None:
        try:
            work(number)
        finally:
            connection.close()

    threads = [Thread(target=run, args=(number,)) for number in range(THREADS)]
    began = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - began


@pytest.mark.django_db(transaction=True)
def test_registrations_a_second(make_clinic, household):
    # Half of the children have a spot and the others wait, over as many clinics as an evening has open.
    clinics = [make_clinic(days=10 + number, children=THREADS * EACH // 8) for number in range(4)]
    facts = [[household() for _ in range(EACH)] for _ in range(THREADS)]

    def ours(number: int) -> None:
        for place, one in enumerate(facts[number]):
            register(clinic=clinics[place % 4], facts=one, once=uuid.uuid4(), now=clock.now())

    seconds = by_threads(ours)
    assert Registration.objects.count() == Spot.objects.count() == Note.objects.count() == THREADS * EACH

    # What was written is taken out and put back by plain statements: a transaction for each household, triggers too.
    kept: Rows = []
    with connection.cursor() as cursor:
        for model in TABLES:
            names = [field.column for field in model._meta.concrete_fields]
            cursor.execute(f"select {', '.join(names)} from {model._meta.db_table} order by id")
            rows = cursor.fetchall()
            assert len(rows) == THREADS * EACH, model
            blanks = ", ".join(["%s"] * len(names))
            kept.append((f"insert into {model._meta.db_table} ({', '.join(names)}) values ({blanks})", rows))
        for model in reversed(TABLES):
            cursor.execute(f"delete from {model._meta.db_table}")

    families = sorted_by_family(kept)

    def bare(number: int) -> None:
        with connection.cursor() as cursor:
            for family in families[number::THREADS]:
                cursor.execute("begin")
                for statement, row in family:
                    cursor.execute(statement, row)
                cursor.execute("commit")

    plain = by_threads(bare)
    assert Spot.objects.count() == Note.objects.count() == THREADS * EACH

    count = THREADS * EACH
    report(
        "registrations_per_second",
        count / seconds,
        "registrations/s",
        plain / seconds,
        f"the bare INSERTs of the same rows at {count / plain:.0f} registrations/s",
    )


def sorted_by_family(kept: Rows) -> list[list[tuple[str, Row]]]:
    """The rows of each household together, found by the guardian or the child that they name."""
    children: dict[object, object] = {}
    out: dict[object, list[tuple[str, Row]]] = {}
    names = [field.column for field in Guardianship._meta.concrete_fields]
    for row in kept[TABLES.index(Guardianship)][1]:
        children[row[names.index("child_id")]] = row[names.index("guardian_id")]
    for model, (statement, rows) in zip(TABLES, kept, strict=True):
        columns = [field.column for field in model._meta.concrete_fields]
        for row in rows:
            if model is Guardian:
                family = row[columns.index("id")]
            elif model is Child:
                family = children[row[columns.index("id")]]
            elif "guardian_id" in columns:
                family = row[columns.index("guardian_id")]
            else:
                family = children[row[columns.index("child_id")]]
            out.setdefault(family, []).append((statement, row))
    return list(out.values())
