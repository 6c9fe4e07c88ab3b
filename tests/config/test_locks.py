"""How rows are locked: never so that a commit elsewhere, which merely refers to the row, has to wait.

PostgreSQL manual, "Explicit Locking", 13.3.2 row-level locks: FOR KEY SHARE, which a foreign key takes, conflicts with
FOR UPDATE and not with FOR NO KEY UPDATE.
"""

import re
import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clinics.models import Clinic
from families.models import Child
from families.services.merge import confirm_household
from families.services.registering import register
from floor.models import FloorDay
from people.models import Volunteer
from people.services.merge import merge_volunteers
from tests.floor_days import entry, send
from tests.households import confirmed
from tests.street import APPS, ROOMS, ROOT

SOURCES = [path for room in ROOMS for path in (ROOT / room).rglob("*.py")]
# How many locks each app has at least: a search that finds none proves nothing.
LEAST = {
    "outbox": 1,
    "people": 10,
    "clinics": 4,
    "families": 30,
    "shifts": 15,
    "kits": 6,
    "runsheets": 5,
    "floor": 4,
    "scheduling": 8,
}


@pytest.mark.parametrize(("app", "least"), LEAST.items())
def test_every_lock_leaves_foreign_keys_alone(app, least):
    calls = [
        (path.relative_to(ROOT), call)
        for path in SOURCES
        if path.is_relative_to(ROOT / app) and "migrations" not in path.parts
        for call in re.findall(r"select_for_update\([^)]*", path.read_text(encoding="utf-8"))
    ]
    assert len(calls) >= least
    assert [entry for entry in calls if "no_key=True" not in entry[1]] == []


def test_every_app_is_looked_at():
    assert set(LEAST) == set(APPS)


def locked(queries: CaptureQueriesContext) -> list[str]:
    """Tables in the order in which a row of them was first locked."""
    found = [
        match[1]
        for query in queries.captured_queries
        if "FOR NO KEY UPDATE" in query["sql"] and (match := re.search(r' FROM "(\w+)"', query["sql"]))
    ]
    return list(dict.fromkeys(found))


def tables(*models: type) -> list[str]:
    return [model._meta.db_table for model in models]  # type: ignore[attr-defined]


@pytest.mark.django_db
def test_joining_two_volunteers_locks_the_floors_log_then_clinics_then_people(floor, now, make_volunteer):
    send(floor, entry(1, "in", now, who=f"v{floor.lead.volunteer_id}"))
    with CaptureQueriesContext(connection) as queries:
        merge_volunteers(keep=make_volunteer(), other=floor.lead.volunteer, now=now)
    assert locked(queries)[:3] == tables(FloorDay, Clinic, Volunteer)


@pytest.mark.django_db
def test_joining_two_households_locks_the_floors_log_then_clinics_then_people(floor, household, now, make_clinic):
    child = floor.children[0]
    send(floor, entry(1, "in", now, who=f"c{child.pk}"))
    known = confirmed(child.guardianships.get().guardian, now)
    known.email = "ash@example.org"
    known.save()
    facts = household((child.name, child.birth_date), email="ash@example.org")
    again = register(clinic=make_clinic(days=3), facts=facts, once=uuid.uuid4(), now=now + timedelta(minutes=1))
    with CaptureQueriesContext(connection) as queries:
        confirm_household(guardian=again.registration.guardian, now=now + timedelta(minutes=2))
    assert not Child.objects.filter(pk=again.spots[0].child_id).exists()
    first = locked(queries)
    assert first[:2] == tables(FloorDay, Clinic) and Child._meta.db_table in first[2:]
