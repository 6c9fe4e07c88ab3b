"""Days, hours and counts as they are written; the year is asked of the zone's own day."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.template import Context, Template
from django.utils import translation

from core import clock, formats
from tests.street import ROOMS, ROOT

NEW_YORK = ZoneInfo("America/New_York")


@pytest.fixture(autouse=True)
def new_years_eve() -> Iterator[None]:
    """23:30 on December 31, 2026 in New York; 04:30 on January 1 in UTC."""
    before = clock.now()
    clock.move(datetime(2027, 1, 1, 4, 30, tzinfo=UTC))
    yield
    clock.move(before)


def test_a_day_has_its_year_only_when_it_is_another() -> None:
    assert formats.long_day(date(2026, 11, 28)) == "Saturday, November 28"
    assert formats.long_day(date(2027, 1, 2)) == "Saturday, January 2, 2027"
    assert formats.short_day(date(2026, 11, 28)) == "Sat, Nov 28"
    assert formats.short_day(date(2025, 11, 28)) == "Fri, Nov 28, 2025"


def test_dates_on_papers_always_have_their_year() -> None:
    assert formats.full_day(date(2026, 11, 28)) == "Saturday, November 28, 2026"
    assert formats.full_date(date(2026, 11, 28)) == "November 28, 2026"
    assert formats.short_date(date(2026, 11, 28)) == "Nov 28, 2026"
    assert formats.month_and_year(date(2026, 11, 28)) == "November 2026"


def test_spanish_days_are_written_the_spanish_way() -> None:
    with translation.override("es"):
        assert formats.long_day(date(2026, 11, 28)) == "sábado, 28 de noviembre"
        assert formats.long_day(date(2027, 1, 2)) == "sábado, 2 de enero de 2027"
        assert formats.weekday(date(2026, 11, 28)) == "sábado"


def test_a_site_may_write_days_in_another_order(settings: Any) -> None:
    settings.LOCALES = {"en": "en_GB", "es": "es_ES"}
    settings.CLOCK_PATTERN = "h:mm a"

    assert formats.long_day(date(2026, 11, 28)) == "Saturday, 28 November"
    assert formats.clock_time(time(16, 30)) == "4:30 pm"


def test_the_day_and_the_year_are_those_of_the_zone() -> None:
    moment = datetime(2027, 1, 1, 2, 0, tzinfo=UTC)

    assert formats.long_day(moment, NEW_YORK) == "Thursday, December 31"
    assert formats.long_day(moment, "Asia/Tokyo") == "Friday, January 1"
    assert formats.long_day(moment, "home") == formats.long_day(moment, NEW_YORK)
    assert formats.clock_time(moment, NEW_YORK) == "21:00"
    assert formats.clock_time(moment.astimezone(NEW_YORK)) == "21:00"


def test_a_moment_in_utc_has_no_day_without_a_zone() -> None:
    moment = datetime(2027, 1, 1, 2, 0, tzinfo=UTC)

    with pytest.raises(ValueError, match="in which zone"):
        formats.long_day(moment)
    with pytest.raises(ValueError, match="in which zone"):
        Template("{% load formats %}{{ at|clock_time }}").render(Context({"at": moment}))


@pytest.mark.parametrize(
    ("number", "noun", "words"),
    [
        (0, "child", "0 children"),
        (1, "child", "1 child"),
        (1.0, "hour", "1 hour"),
        (0.5, "hour", "0.5 hours"),
        (1.5, "hour", "1.5 hours"),
        (2, "child", "2 children"),
        (1250, "child", "1,250 children"),
    ],
)
def test_one_thing_is_singular_and_nothing_else(number: float, noun: str, words: str) -> None:
    assert formats.counted(number, noun) == words
    assert Template("{% load formats %}{{ n|counted:noun }}").render(Context({"n": number, "noun": noun})) == words


def test_every_noun_has_a_singular_and_a_plural_in_spanish() -> None:
    with translation.override("es"):
        assert formats.counted(1, "child") == "1 niña o niño" and formats.counted(2, "spot") == "2 lugares"


def test_how_far_off_a_day_is() -> None:
    today = date(2026, 11, 28)
    days = {0: "today", 1: "tomorrow", -1: "yesterday", 2: "in 2 days", -3: "3 days ago"}

    assert {n: formats.near_day(date.fromordinal(today.toordinal() + n), today) for n in days} == days


def templates() -> list[Path]:
    return [path for room in ROOMS for path in (ROOT / room).glob("templates/**/*") if path.is_file()]


def test_templates_write_days_by_these_filters_alone() -> None:
    """Django's own filters read a moment in whatever zone is in force, and know nothing of the year."""
    theirs = ("|date", "|time:", "|timesince", "|timeuntil", "|naturalday", "{% now")

    assert [path.name for path in templates() for word in theirs if word in path.read_text()] == []
