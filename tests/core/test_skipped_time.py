"""What a person reads who chose a time that the clocks skip."""

from datetime import date, time
from zoneinfo import ZoneInfo

import pytest

from core.rules.local_time import TimeDoesNotExist, localize
from core.words import skipped_time


@pytest.mark.parametrize(
    ("day", "at", "zone", "end"),
    [
        (date(2026, 3, 8), time(2, 30), "America/New_York", "Choose 03:00 or later."),
        (date(2011, 12, 30), time(10, 0), "Pacific/Apia", "Choose 00:00 on Saturday, December 31, 2011 or later."),
    ],
)
def test_it_names_the_first_time_that_there_is(day: date, at: time, zone: str, end: str) -> None:
    with pytest.raises(TimeDoesNotExist) as refusal:
        localize(day, at, ZoneInfo(zone))

    assert skipped_time(refusal.value).endswith(end)
