"""Wall times across clock changes, against a search through every minute of the day in zoneinfo."""

from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.rules.local_time import TimeDoesNotExist, first_moment_at, localize, shifted_past_gap

NEW_YORK = ZoneInfo("America/New_York")
# Days of 2026 around a change of clocks, and zones that change by an hour, by half an hour, or not at all.
ZONES_AND_DAYS = [
    ("America/New_York", date(2026, 3, 8)),
    ("America/New_York", date(2026, 11, 1)),
    ("Europe/London", date(2026, 3, 29)),
    ("Europe/London", date(2026, 10, 25)),
    ("Australia/Lord_Howe", date(2026, 4, 5)),
    ("Australia/Lord_Howe", date(2026, 10, 4)),
    ("Australia/Sydney", date(2026, 10, 4)),
    ("America/Phoenix", date(2026, 3, 8)),
    ("Asia/Kolkata", date(2026, 3, 29)),
    ("Africa/Cairo", date(2026, 4, 24)),
]


def moments_showing(day: date, at: time, tz: ZoneInfo) -> list[datetime]:
    """Every UTC minute at which the clocks of the zone show this wall time."""
    return all_moments(day, tz).get(datetime.combine(day, at), [])


@cache
def all_moments(day: date, tz: ZoneInfo) -> dict[datetime, list[datetime]]:
    """The UTC minutes of four days around the day, by what the clocks of the zone show at each."""
    noon = datetime.combine(day, time(12), tzinfo=UTC)
    found: dict[datetime, list[datetime]] = {}
    for minute in (noon + timedelta(minutes=n) for n in range(-48 * 60, 48 * 60)):
        found.setdefault(minute.astimezone(tz).replace(tzinfo=None), []).append(minute)
    return found


@settings(deadline=None, max_examples=120)
@given(st.sampled_from(ZONES_AND_DAYS), st.integers(0, 4 * 60 - 1))
def test_a_wall_time_is_the_first_minute_that_shows_it(zone_and_day: tuple[str, date], minute: int) -> None:
    tz, day = ZoneInfo(zone_and_day[0]), zone_and_day[1]
    at = time(minute // 60, minute % 60)
    shown = moments_showing(day, at, tz)

    if shown:
        assert localize(day, at, tz).astimezone(UTC) == shown[0]
        assert first_moment_at(day, at, tz).astimezone(UTC) == shown[0]
        assert shifted_past_gap(day, at, tz).astimezone(UTC) == shown[0]
    else:
        with pytest.raises(TimeDoesNotExist):
            localize(day, at, tz)


@settings(deadline=None, max_examples=25)
@given(st.sampled_from(ZONES_AND_DAYS), st.integers(0, 4 * 60 - 1))
def test_after_a_skipped_time_comes_the_first_minute_the_clocks_do_show(
    zone_and_day: tuple[str, date], minute: int
) -> None:
    tz, day = ZoneInfo(zone_and_day[0]), zone_and_day[1]
    at = time(minute // 60, minute % 60)
    later = datetime.combine(day, at)
    while not moments_showing(later.date(), later.time(), tz):
        later += timedelta(minutes=1)

    assert first_moment_at(day, at, tz).replace(tzinfo=None) == later


@pytest.mark.parametrize(
    ("day", "at", "zone", "first"),
    [
        (date(2026, 3, 8), time(2, 30), "America/New_York", datetime(2026, 3, 8, 3, 0)),
        (date(2026, 10, 4), time(2, 15), "Australia/Lord_Howe", datetime(2026, 10, 4, 2, 30)),
        # Samoa crossed the date line and had no 30 December 2011.
        (date(2011, 12, 30), time(10, 0), "Pacific/Apia", datetime(2011, 12, 31, 0, 0)),
    ],
)
def test_a_skipped_time_is_refused_with_what_to_choose_instead(day: date, at: time, zone: str, first: datetime) -> None:
    with pytest.raises(TimeDoesNotExist) as refusal:
        localize(day, at, ZoneInfo(zone))

    said = refusal.value
    assert (said.day, said.at, said.zone, said.first.replace(tzinfo=None)) == (day, at, zone, first)
    assert isinstance(said, ValueError)


@pytest.mark.parametrize("at", [time(1, 59), time(3, 0)])
def test_the_edges_of_a_gap_exist(at: time) -> None:
    assert localize(date(2026, 3, 8), at, NEW_YORK).time() == at


def test_a_time_shown_twice_means_the_first_even_when_marked_as_the_second() -> None:
    assert localize(date(2026, 11, 1), time(1, 30, fold=1), NEW_YORK).astimezone(UTC) == datetime(
        2026, 11, 1, 5, 30, tzinfo=UTC
    )
