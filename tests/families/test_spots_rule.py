"""Age bands, free spots, and how long a spot that came free waits for a yes."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from families.rules.spots import Band, NoBand, answer_by, band_of, free_spots, no_band

YOUNGER, OLDER = Band(7, 9, 2), Band(12, 14, 5)
START = datetime(2026, 11, 28, 14, 30, tzinfo=UTC)


@pytest.mark.parametrize("bands", [[YOUNGER, OLDER], [OLDER, YOUNGER]], ids=["in order", "out of order"])
@pytest.mark.parametrize(
    ("age", "band", "code"),
    [
        (6, None, "too young"),
        (7, YOUNGER, None),
        (9, YOUNGER, None),
        (10, None, "between"),
        (11, None, "between"),
        (12, OLDER, None),
        (14, OLDER, None),
        (15, None, "too old"),
    ],
)
def test_each_age_has_its_band_or_its_own_reason_and_the_ages_that_are_taken(
    bands: list[Band], age: int, band: Band | None, code: str | None
) -> None:
    assert band_of(age, bands) == band
    if code is None:
        with pytest.raises(ValueError, match=f"There is a band for children of {age}"):
            no_band(age, bands)
    else:
        assert no_band(age, bands) == NoBand(code, 7, 14)


def test_a_clinic_without_bands_is_refused_with_a_sentence() -> None:
    assert band_of(8, []) is None
    with pytest.raises(ValueError, match="without age bands takes no children"):
        no_band(8, [])


def test_free_spots_are_what_is_not_held_in_the_band_and_never_below_nothing() -> None:
    bands = [YOUNGER, OLDER]

    assert free_spots(bands, {}) == {YOUNGER: 2, OLDER: 5}
    assert free_spots(bands, {7: 1}) == {YOUNGER: 1, OLDER: 5}
    assert free_spots(bands, {7: 1, 9: 1, 12: 1, 14: 2}) == {YOUNGER: 0, OLDER: 2}
    # Somebody gave one spot more than there are, or the band was made smaller.
    assert free_spots(bands, {8: 3}) == {YOUNGER: 0, OLDER: 5}
    # A child of an age between the groups takes a spot of neither.
    assert free_spots(bands, {6: 1, 10: 4, 11: 1, 15: 1}) == {YOUNGER: 2, OLDER: 5}


@pytest.mark.parametrize(
    ("left", "kept_for"),
    [
        (timedelta(hours=100), timedelta(hours=24)),
        (timedelta(hours=48), timedelta(hours=24)),
        (timedelta(hours=47), timedelta(hours=23, minutes=30)),
        (timedelta(hours=10), timedelta(hours=5)),
        (timedelta(minutes=31), timedelta(minutes=15, seconds=30)),
        # The last half hour: whoever can come at once may have it until the clinic begins.
        (timedelta(minutes=30), timedelta(minutes=30)),
        (timedelta(minutes=1), timedelta(minutes=1)),
    ],
)
def test_a_free_spot_is_kept_a_day_or_half_of_what_is_left_and_at_the_last_moment_until_the_start(
    left: timedelta, kept_for: timedelta
) -> None:
    now = START - left

    assert answer_by(now, START, 24) - now == kept_for


@given(st.integers(1, 60 * 24 * 30), st.integers(1, 200))
def test_nobody_is_given_longer_than_the_hours_or_past_the_start_and_never_no_time(minutes: int, hours: int) -> None:
    now = START - timedelta(minutes=minutes)

    until = answer_by(now, START, hours)

    assert now < until <= START
    # An hour of the house is longer than the last moment, so its hours hold in either case.
    assert until <= now + timedelta(hours=hours)
