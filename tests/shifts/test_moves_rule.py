"""When a changed hour is asked again, and when it is only told."""

from datetime import datetime, timedelta

import pytest

from shifts.rules.moves import Hours, needs_asking, within_hold

TEN, NOON = datetime(2026, 11, 28, 10, 0), datetime(2026, 11, 28, 12, 0)
BEFORE = Hours(TEN, NOON)
QUARTER = timedelta(minutes=15)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)


@pytest.mark.parametrize(
    ("start", "end", "asked"),
    [
        (TEN, NOON, False),
        # Inside the old hours, however much shorter.
        (TEN + timedelta(minutes=50), NOON - timedelta(minutes=50), False),
        # A little later, earlier or longer.
        (TEN + QUARTER, NOON + QUARTER, False),
        (TEN - QUARTER, NOON - QUARTER, False),
        (TEN - QUARTER, NOON + QUARTER, False),
        # A minute more than that at either end.
        (TEN - QUARTER - MINUTE, NOON, True),
        (TEN, NOON + QUARTER + MINUTE, True),
        (TEN + QUARTER + MINUTE, NOON + MINUTE, True),
        (TEN - MINUTE, NOON - QUARTER - MINUTE, True),
        # The same hours on another day.
        (TEN + DAY, NOON + DAY, True),
        (TEN - DAY, NOON - DAY, True),
    ],
)
def test_a_move_within_the_tolerance_on_the_same_day_is_only_told(start: datetime, end: datetime, asked: bool) -> None:
    assert needs_asking(BEFORE, Hours(start, end), QUARTER) is asked
    # At another center everybody is asked.
    assert needs_asking(BEFORE, Hours(start, end), QUARTER, same_center=False) is True


def test_past_midnight_is_another_day_however_near() -> None:
    late = Hours(datetime(2026, 11, 28, 23, 55), datetime(2026, 11, 29, 1, 0))
    later = Hours(datetime(2026, 11, 29, 0, 5), datetime(2026, 11, 29, 1, 10))

    assert needs_asking(late, later, QUARTER) is True


@pytest.mark.parametrize(
    ("wanted", "covered"),
    [
        ((TEN, NOON), True),
        ((TEN + MINUTE, NOON - MINUTE), True),
        ((TEN - MINUTE, NOON), False),
        ((TEN, NOON + MINUTE), False),
    ],
)
def test_a_hold_covers_what_lies_in_it_in_the_same_space_once_it_is_agreed(
    wanted: tuple[datetime, datetime], covered: bool
) -> None:
    assert within_hold((TEN, NOON), wanted, agreed=True, same_space=True) is covered
    assert within_hold((TEN, NOON), wanted, agreed=False, same_space=True) is False
    assert within_hold((TEN, NOON), wanted, agreed=True, same_space=False) is False
