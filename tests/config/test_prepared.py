"""The databases of the tests are copies: the same as if made from nothing, and of today's migrations."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest
from django.db import connection

from demo.embedded_postgres import postgres_programs
from tests import prepared
from tests.servers import TEMPLATE_NAMED

MIGRATE = [sys.executable, "manage.py", "migrate", "--run-syncdb", "--verbosity=0"]
# When a row was written, and pg_dump's own password against statements of others.
PASSING = re.compile(r"'20\d\d-\d\d-\d\d \d\d:\d\d:\d\d[.\d]*\+00'|(?m:^\\(?:un)?restrict .*$)")
# The number of who wrote a history's rows is drawn anew each time.
DRAWN = re.compile(r"'[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}'")


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """A project of one migration, which takes a word from a module, and one file that no migration reads."""
    for name in prepared.FILES:
        write(tmp_path / name, "as it was")
    write(tmp_path / "people/migrations/0001_first.py", "import config.words\nfrom django.db import models\n")
    write(tmp_path / "config/words.py", "LONGEST = 20")
    write(tmp_path / "people/views.py", "")
    return tmp_path


def write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text)


@pytest.mark.parametrize(
    "name",
    ["people/migrations/0001_first.py", "people/migrations/0002_next.py", "config/words.py", "config/settings.py"],
)
def test_a_change_of_what_makes_the_tables_makes_another_database(tree: Path, name: str) -> None:
    before = prepared.fingerprint(tree)

    write(tree / name, "LONGEST = 21")

    assert prepared.fingerprint(tree) != before


def test_another_version_of_a_package_with_migrations_makes_another_database(
    tree: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = prepared.fingerprint(tree)

    monkeypatch.setattr(prepared, "version", lambda name: "999")

    assert prepared.fingerprint(tree) != before


def test_a_change_of_anything_else_keeps_the_database(tree: Path) -> None:
    before = prepared.fingerprint(tree)

    write(tree / "people/views.py", "LONGEST = 21")
    shutil.copytree(tree, tree / "elsewhere")

    assert prepared.fingerprint(tree) == prepared.fingerprint(tree / "elsewhere") == before


def test_half_made_folders_go_and_the_last_used_stay(tmp_path: Path) -> None:
    folders = [tmp_path / f"{prepared.NAME}{number}" for number in range(5)]
    half = tmp_path / f"{prepared.NAME}9.new"
    for age, folder in enumerate([*folders, half]):
        folder.mkdir()
        os.utime(folder, (10_000_000 - 1000 * age,) * 2)

    prepared.sweep(tmp_path, wanted=folders[4])

    assert {path for path in folders if path.exists()} == {folders[0], folders[1], folders[4]}
    assert not half.exists()


@pytest.mark.slow
@pytest.mark.skipif(TEMPLATE_NAMED not in os.environ, reason="somebody's own server has no database to copy")
@pytest.mark.django_db
def test_a_copy_is_the_same_as_a_database_made_from_nothing() -> None:
    server = os.environ["DATABASE_URL"]
    own = connection.settings_dict["NAME"]
    dumps = []
    with psycopg.connect(server, autocommit=True) as db:
        for name, template in ((f"{own}_nothing", "template0"), (f"{own}_copy", os.environ[TEMPLATE_NAMED])):
            address = prepared.beside(server, name)
            db.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
            try:
                subprocess.run(MIGRATE, env={**os.environ, "DATABASE_URL": address}, check=True)
                dumps.append(dump(address))
            finally:
                db.execute(f'DROP DATABASE "{name}" WITH (FORCE)')

    nothing, copy = dumps
    assert len(copy) > 5000 and any("'stem_lead'" in line for line in copy)
    assert copy == nothing


def dump(address: str) -> list[str]:
    done = subprocess.run(
        [postgres_programs() / "pg_dump", "--inserts", address], capture_output=True, text=True, check=True
    )
    places: dict[str, int] = {}
    counted = DRAWN.sub(lambda drawn: f"'drawn {places.setdefault(drawn[0], len(places))}'", done.stdout)
    return PASSING.sub("", counted).splitlines()
