"""Ages against dateutil, on the clinic's day where it is, and who may consent for a child."""

import re
from calendar import isleap
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from dateutil.relativedelta import relativedelta
from django.urls import get_resolver
from hypothesis import example, given
from hypothesis import strategies as st

from people.rules.ages import age_on
from tests.street import ROOMS

DAYS = st.dates(date(1930, 1, 1), date(2100, 12, 31))
LEAP_DAYS = st.sampled_from([date(year, 2, 29) for year in range(1932, 2100, 4)])


@given(DAYS | LEAP_DAYS, st.integers(0, 40_000))
@example(date(1932, 2, 29), 365)
@example(date(1932, 2, 29), 366)
@example(date(1932, 2, 29), 4 * 365)
@example(date(1932, 2, 29), 4 * 365 + 1)
def test_age_is_what_dateutil_says_leap_day_birthdays_among_them(born, later):
    """python-dateutil's relativedelta(day, born).years, an implementation of its own, has the birthday of a 29
    February on the 28th of a common year; here it is a day later (see the next test).
    """
    day = born + timedelta(days=later)
    eve = (born.month, born.day) == (2, 29) and (day.month, day.day) == (2, 28) and not isleap(day.year)
    assert age_on(born, day) == relativedelta(day, born).years - eve


@pytest.mark.parametrize(
    ("day", "age"),
    [(date(2024, 2, 28), 7), (date(2024, 2, 29), 8), (date(2023, 2, 28), 6), (date(2023, 3, 1), 7)],
)
def test_a_child_of_29_february_turns_older_on_1_march_of_a_common_year(day, age):
    """Common practice, no source: states differ, and the later day asks no more of a child than its years."""
    assert age_on(date(2016, 2, 29), day) == age


def test_a_day_before_birth_has_no_age():
    with pytest.raises(ValueError, match="before the day of birth"):
        age_on(date(2020, 1, 2), date(2020, 1, 1))


@pytest.mark.parametrize(("zone", "age"), [("Pacific/Kiritimati", 8), ("Pacific/Honolulu", 7)])
def test_one_moment_is_the_birthday_in_kiritimati_and_its_eve_in_honolulu(zone, age):
    """11:00 UTC of 14 June: the 15th at UTC+14 and the 14th at UTC-10 (IANA tz database)."""
    moment = datetime(2026, 6, 14, 11, tzinfo=UTC)
    assert age_on(date(2018, 6, 15), moment.astimezone(ZoneInfo(zone)).date()) == age


@pytest.mark.parametrize(
    ("day", "under"), [(date(2026, 6, 14), True), (date(2026, 6, 15), False), (date(2027, 1, 1), False)]
)
def test_under_thirteen_is_before_the_thirteenth_birthday(day, under):
    """COPPA, 16 CFR 312.2: a child is "an individual under the age of 13" (standards.md section 6)."""
    assert (age_on(date(2013, 6, 15), day) < 13) is under


def test_nobody_but_a_guardian_or_the_office_can_consent():
    """16 CFR 312.5: consent of a parent before collecting from a child (standards.md section 6; it binds commercial
    operators, and we follow it). A signature or a photo answer is written in few places, and none of them takes a
    child's word: each names a guardian or the account of the office. What the running program asks, and whom, is tried
    in tests/families/register/test_nothing_of_a_child.py.
    """
    house = Path(__file__).parents[2]
    apps = [path for room in ROOMS for path in (house / room).rglob("*.py")]
    writers = {
        str(path.relative_to(house))
        for path in apps
        if "migrations" not in path.parts
        and re.search(
            r"(?<!class )\b(?:Waiver(?:\.objects\.create)?\(|PhotoAnswer\.objects\.create\()", path.read_text()
        )
    }
    allowed = {
        "families/services/households.py",
        "families/models/waivers.py",
        "demo/families.py",
        "demo/scale_children.py",
    }
    assert writers <= allowed
    names = {key for key in get_resolver().reverse_dict if isinstance(key, str)}
    assert not {name for name in names if name.startswith(("child-sign", "child-consent"))}
