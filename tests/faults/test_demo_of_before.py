"""The demo's data of an edition before this one is recognised, and the demo starts over instead of falling down."""

import json
import os
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest

from tests.street import ROOT

pytestmark = pytest.mark.slow


@pytest.fixture
def database() -> Iterator[str]:
    """The address of an empty database beside the tests' own."""
    name = f"before_{uuid.uuid4().hex[:12]}"
    server = os.environ["DATABASE_URL"]
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
        yield urlsplit(server)._replace(path=f"/{name}").geturl()
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def prepare(database: str, doors: Path, mode: str) -> subprocess.CompletedProcess[str]:
    env = os.environ | {"DATABASE_URL": database, "WHISTLESTOP_MODE": mode}
    command = [sys.executable, "manage.py", "prepare_demo", "--doors", str(doors)]
    return subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=300, check=False)


def made_before(database: str) -> None:
    with psycopg.connect(database, autocommit=True) as connection:
        connection.execute("CREATE TABLE django_migrations (id bigserial, app text, name text, applied timestamptz)")
        connection.execute(
            "INSERT INTO django_migrations (app, name, applied)"
            " VALUES ('people', '0001_initial', now()), ('people', '0008_one_clock', now())"
        )
        connection.execute("CREATE TABLE people_child (name text)")
        connection.execute("INSERT INTO people_child VALUES ('Somebody invented long ago')")


def test_the_demo_starts_over_says_so_and_says_it_once(database, tmp_path):
    made_before(database)
    doors = tmp_path / "doors.json"

    done = prepare(database, doors, "demo")
    assert done.returncode == 0, done.stderr
    assert "of an older edition" in json.loads(doors.read_text())["news"]
    with psycopg.connect(database) as connection:
        assert connection.execute("SELECT count(*) FROM families_child WHERE name LIKE 'Somebody%'").fetchone() == (0,)
        assert connection.execute("SELECT count(*) > 10 FROM families_child").fetchone() == (True,)

    assert prepare(database, doors, "demo").returncode == 0
    assert json.loads(doors.read_text())["news"] == ""


def test_outside_the_demo_nothing_is_ever_emptied(database, tmp_path):
    made_before(database)

    assert prepare(database, tmp_path / "doors.json", "test").returncode != 0
    with psycopg.connect(database) as connection:
        assert connection.execute("SELECT name FROM people_child").fetchone() == ("Somebody invented long ago",)
