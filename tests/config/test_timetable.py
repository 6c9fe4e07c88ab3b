"""What beat wakes, and when."""

import pytest
from django.conf import settings

from config.celery import app

DAY = 24 * 3600


@pytest.fixture(scope="module")
def timetable() -> dict[str, float]:
    """Task to how often it is woken, in seconds."""
    app.loader.import_default_modules()
    return {entry["task"]: entry["schedule"] for entry in app.conf.beat_schedule.values()}


def test_beat_wakes_tasks_that_are_there(timetable):
    assert len(timetable) == len(app.conf.beat_schedule) > 8
    assert sorted(set(timetable) - set(app.tasks)) == []


@pytest.mark.parametrize("what", ["leavers", "families", "run_sheets"])
def test_what_is_to_be_forgotten_is_looked_at_once_a_day(timetable, what):
    assert timetable[f"scheduling.forget_{what}"] == DAY


@pytest.mark.parametrize("what", ["search_waiting_cover", "find_waiting_kit_plans", "find_waiting_run_sheets"])
def test_a_search_that_no_worker_took_up_is_found_as_often_as_notes_are_sent(timetable, what):
    assert timetable[f"scheduling.{what}"] == settings.SEND_EVERY_SECONDS
