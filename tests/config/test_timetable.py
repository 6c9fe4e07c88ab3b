"""The worker's timetable: each line a task that exists, each task one job, and none stops another by failing."""

import inspect
import re
import sys
from collections.abc import Callable

import pytest
from django.conf import settings

from config.celery import app
from tests.street import ROOMS, ROOT

LINES = sorted(app.conf.beat_schedule)
WOKEN = re.compile(r"\benqueue\W+\"([a-z_.]+)\"")


@pytest.fixture
def begun(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every job that a task could call fails, and is named here when it is called."""
    called: list[str] = []

    def broken(name: str) -> Callable[..., None]:
        def job(*args: object, **kwargs: object) -> None:
            called.append(name)
            raise RuntimeError(f"{name} fails")

        return job

    app.loader.import_default_modules()
    for module in {sys.modules[task.__module__] for name, task in app.tasks.items() if not name.startswith("celery.")}:
        for name, job in vars(module).items():
            if inspect.isfunction(job) and ".services." in job.__module__:
                monkeypatch.setattr(module, name, broken(f"{job.__module__}.{name}"))
    return called


def test_each_line_has_a_task_that_exists_and_its_own_name() -> None:
    app.loader.import_default_modules()

    assert LINES and [app.conf.beat_schedule[line]["task"] for line in LINES] == LINES
    assert [line for line in LINES if line not in app.tasks] == []


@pytest.mark.parametrize("line", LINES)
def test_a_task_of_the_timetable_does_one_job(line: str, begun: list[str]) -> None:
    result = app.tasks[line].apply()

    assert result.failed() and str(result.result).endswith(" fails") and len(begun) == 1


def test_every_job_is_begun_though_each_fails(begun: list[str]) -> None:
    for line in LINES:
        app.tasks[line].apply()

    assert len(set(begun)) == len(LINES)


def test_whoever_wakes_a_task_names_one_that_exists() -> None:
    app.loader.import_default_modules()
    sources = [path for room in ROOMS for path in (ROOT / room).rglob("*.py")]
    woken = {name for path in sources for name in WOKEN.findall(path.read_text(encoding="utf-8"))}

    assert {"outbox.send_notes", "shifts.search_cover", "kits.find_plan", "runsheets.find_sheet"} <= woken
    assert [name for name in sorted(woken) if name not in app.tasks] == []


@pytest.mark.parametrize(
    "line",
    [
        "people.forget_leavers",
        "families.purge_children",
        "families.purge_guardians",
        "families.purge_leftovers",
        "runsheets.purge_run_sheets",
    ],
)
def test_what_is_to_be_forgotten_is_looked_at_once_a_day(line: str) -> None:
    assert app.conf.beat_schedule[line]["schedule"] == 24 * 3600


@pytest.mark.parametrize(
    "line", ["shifts.search_waiting_cover", "kits.find_waiting_plans", "runsheets.find_waiting_sheets"]
)
def test_a_search_that_no_worker_took_up_is_found_as_often_as_notes_are_sent(line: str) -> None:
    assert app.conf.beat_schedule[line]["schedule"] == settings.SEND_EVERY_SECONDS
