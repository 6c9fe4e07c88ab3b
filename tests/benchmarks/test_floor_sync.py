"""Entries a second that two phones at once bring into the books, against the bare INSERTs of the same rows."""

import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from threading import Thread
from typing import Any

import pytest
from django.db import connection
from django.db.models import Model

from clinics.models import AgeBand
from families.models import Child
from families.services.spot_books import take_spot
from floor.models import FloorAction, FloorDay, FloorPhone, Incident, Score, SignIn
from floor.services.phones import open_phone
from floor.services.syncing import receive
from tests.benchmarks.conftest import report
from tests.floor_days import entry

pytestmark = pytest.mark.django_db(transaction=True)
CHILDREN, BATCH, BATCHES = 60, 100, 5  # batches for each of the two phones
TABLES: tuple[type[Model], ...] = (FloorAction, SignIn, Score, Incident)


def day_of(children: list[Child], now: datetime, phone: int) -> list[dict[str, object]]:
    """Half of the children come in, shoot eight rounds each and go home; every tenth row is something else."""
    rows: list[dict[str, object]] = []

    def add(kind: str, **facts: object) -> None:
        rows.append(entry(len(rows) + 1, kind, now + timedelta(seconds=len(rows) * 2 + phone), **facts))

    mine = [f"c{child.pk}" for child in children[phone::2]]
    for who in mine:
        add("in", who=who)
    while len(rows) < BATCH * BATCHES - len(mine):
        who = mine[len(rows) % len(mine)]
        if len(rows) % 40 == 0:
            add("incident", who=who, what="Grazed a knee", first_aid="Plaster", told="", witness="", head=False)
        else:
            add("score", who=who, what="free throws", made=3, tried=5)
    for who in mine:
        add("out", who=who, pickup="Uncle Bram")
    return rows


def both(work: Callable[[int], None]) -> float:
    def run(number: int) -> None:
        try:
            work(number)
        finally:
            connection.close()

    threads = [Thread(target=run, args=(number,)) for number in range(2)]
    began = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - began


def test_entries_a_second_from_two_phones(floor: Any, now: datetime) -> None:
    AgeBand.objects.filter(clinic=floor.clinic).update(children=CHILDREN + 10)
    children = [
        Child.objects.create(name=f"Child {n:02}", birth_date=date(now.year - 9, 1, 1), registered_at=now)
        for n in range(CHILDREN)
    ]
    for child in children:
        take_spot(clinic=floor.clinic, child=child, guardian=None, now=now, by_office=True)
    other, _ = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    phones: list[FloorPhone] = [floor.phone, other]
    days = [day_of(children, now, number) for number in range(2)]
    later = now + timedelta(hours=1)

    def ours(number: int) -> None:
        for first in range(0, BATCH * BATCHES, BATCH):
            batch = days[number][first : first + BATCH]
            out = receive(phone=phones[number], phone_now=later, actions=batch, now=later)
            assert len(out.kept) == BATCH

    seconds = both(ours)
    count = 2 * BATCH * BATCHES
    assert FloorAction.objects.count() == count and SignIn.objects.filter(out_at__isnull=False).count() == CHILDREN

    # What was written is taken out and put back by plain statements: a transaction a batch, triggers too.
    kept = []
    with connection.cursor() as cursor:
        for model in TABLES:
            names = [connection.ops.quote_name(field.column) for field in model._meta.concrete_fields]
            cursor.execute(f"select {', '.join(names)} from {model._meta.db_table} order by {names[0]}")
            blanks = ", ".join(["%s"] * len(names))
            kept.append(
                (f"insert into {model._meta.db_table} ({', '.join(names)}) values ({blanks})", cursor.fetchall())
            )
        for model in TABLES:
            cursor.execute(f"delete from {model._meta.db_table}")
    everything = sum(len(rows) for _, rows in kept)

    def bare(number: int) -> None:
        with connection.cursor() as cursor:
            for batch in range(BATCHES):
                cursor.execute("begin")
                for statement, rows in kept:
                    for row in rows[number * BATCHES + batch :: 2 * BATCHES]:
                        cursor.execute(statement, row)
                cursor.execute("commit")

    plain = both(bare)
    assert sum(model._default_manager.count() for model in TABLES) == everything
    report(
        "floor_sync",
        count / seconds,
        "entries/s",
        plain / seconds,
        f"the bare INSERTs of the same rows at {count / plain:.0f} entries/s, batches of {BATCH} from two phones",
    )
    assert FloorDay.objects.count() == 1
