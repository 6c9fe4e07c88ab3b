"""How old a child is on a day. The outside check stands in tests/reference/test_ages.py."""

from datetime import date

import pytest

from people.rules.ages import OLDEST_CHILD, age_on

BORN = date(2018, 5, 17)


@pytest.mark.parametrize(
    ("day", "age"),
    [
        (BORN, 0),
        (date(2019, 5, 16), 0),
        (date(2019, 5, 17), 1),
        (date(2026, 4, 30), 7),
        (date(2026, 5, 16), 7),
        (date(2026, 5, 17), 8),
        (date(2026, 6, 1), 8),
        (date(2026, 12, 31), 8),
    ],
)
def test_a_year_more_on_the_birthday_and_not_a_day_before(day: date, age: int) -> None:
    assert age_on(BORN, day) == age


def test_nobody_has_an_age_before_they_are_born() -> None:
    with pytest.raises(ValueError, match="is before the day of birth"):
        age_on(BORN, date(2018, 5, 16))


def test_a_child_is_one_through_eighteen() -> None:
    assert OLDEST_CHILD == 18
