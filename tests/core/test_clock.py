"""One clock: what the site, its workers and its pages think it is, at whatever instant a run begins."""

import os
import re
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest

from core import clock
from outbox.models import Note
from people.models import Clearance
from tests.clock import INSTANT, at, first_instant
from tests.street import ROOMS, ROOT

NEAR = timedelta(seconds=30)


def test_every_test_begins_at_the_same_instant():
    assert timedelta() <= clock.now() - INSTANT < NEAR


def test_moved_it_goes_on_and_afterwards_is_as_it_was():
    there = datetime(2028, 2, 29, 4, 59, 59, tzinfo=UTC)
    with at(there):
        assert timedelta() <= clock.now() - there < NEAR
        with at(there, tick=False):
            assert clock.now() == clock.now() == there
        assert clock.now() - there < NEAR
    assert clock.now() - INSTANT < NEAR


def test_the_day_is_the_one_on_the_wall_of_the_zone(settings):
    with at(datetime(2028, 3, 1, 4, 59, tzinfo=UTC)):
        assert clock.today().isoformat() == "2028-02-29"
        settings.HOME_TIME_ZONE = "Europe/Athens"
        assert clock.today().isoformat() == "2028-03-01"


def test_a_process_that_is_started_goes_by_the_same_clock():
    there = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)
    with at(there):
        said = subprocess.run(
            [sys.executable, "-c", "from core import clock; print(clock.now().isoformat())"],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings"},
        ).stdout
        assert timedelta() <= datetime.fromisoformat(said.strip()) - there < timedelta(minutes=2)


def test_rows_are_stamped_by_it(make_clinic, make_volunteer):
    there = datetime(2027, 11, 7, 5, 30, tzinfo=UTC)
    with at(there):
        clinic, volunteer = make_clinic(), make_volunteer()
        note = Note(key="never kept")
    stamps = [clinic.created_at, note.written_at]
    stamps += Clearance.objects.filter(volunteer=volunteer).values_list("recorded_at", flat=True)
    assert len(stamps) == 4 and all(timedelta() <= stamp - there < NEAR for stamp in stamps)


def test_a_production_site_has_no_other_clock_than_the_systems(settings):
    settings.PRODUCTION = True
    with pytest.raises(RuntimeError):
        clock.move(INSTANT)


def test_a_clock_that_is_no_time_is_refused_with_a_sentence():
    with pytest.raises(pytest.UsageError, match="Write a day and a time"):
        first_instant("half past nine")


def test_on_the_wall_means_on_the_wall_of_the_organisation():
    assert first_instant("2027-03-14T03:30") == datetime(2027, 3, 14, 7, 30, tzinfo=UTC)
    assert first_instant("2027-03-14T03:30+01:00") == datetime(2027, 3, 14, 2, 30, tzinfo=UTC)


# What ruff's banned-api can't see: SQL, templates, and fields that stamp themselves by the system.
ASKS_ANOTHER = re.compile(
    r"auto_now|\b(?:statement_timestamp|clock_timestamp|transaction_timestamp|localtimestamp)\b"
    r"|\bCURRENT_(?:DATE|TIME|TIMESTAMP)\b|(?<![\w.])now\(\)\s*(?:[-+<>]|at time zone)|\{% now\b",
    re.IGNORECASE,
)


def test_nothing_asks_the_database_or_a_template_what_time_it_is():
    files = [
        path
        for room in ROOMS
        for path in (ROOT / room).rglob("*")
        if path.suffix in {".py", ".html", ".txt", ".sql"} and "migrations" not in path.parts
    ]
    found = [
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for path in files
        for line in path.read_text().splitlines()
        if ASKS_ANOTHER.search(line) and path != ROOT / "core" / "clock.py"
    ]
    assert len(files) > 500 and found == []
