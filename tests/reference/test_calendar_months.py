"""Calendar months, against python-dateutil's relativedelta (a general library with its own month arithmetic)."""

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st

from people.rules.standing import expires_on


@settings(deadline=None, max_examples=1000)
@given(st.dates(date(1900, 1, 1), date(2200, 12, 31)), st.integers(1, 1200))
def test_the_last_day_is_the_one_that_relativedelta_gives(issued_on: date, months: int) -> None:
    assert expires_on(issued_on, months) == issued_on + relativedelta(months=months)


@settings(deadline=None)
@given(st.dates(date(1900, 1, 1), date(2200, 12, 31)), st.integers(1, 1200))
def test_one_more_month_is_never_earlier(issued_on: date, months: int) -> None:
    shorter, longer = expires_on(issued_on, months), expires_on(issued_on, months + 1)

    assert shorter is not None
    assert longer is not None
    assert issued_on < shorter < longer


@pytest.mark.parametrize(
    ("issued_on", "months", "last_day"),
    [
        # Worked by hand from the calendar.
        (date(2025, 3, 10), 24, date(2027, 3, 10)),
        (date(2024, 2, 29), 24, date(2026, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2023, 2, 28), 12, date(2024, 2, 28)),
        (date(2025, 1, 31), 1, date(2025, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2025, 8, 31), 1, date(2025, 9, 30)),
        (date(2025, 12, 31), 1, date(2026, 1, 31)),
        (date(2025, 11, 30), 3, date(2026, 2, 28)),
        (date(1999, 2, 28), 12, date(2000, 2, 28)),
        (date(2096, 2, 29), 48, date(2100, 2, 28)),
    ],
)
def test_a_day_the_month_does_not_have_becomes_its_last(issued_on: date, months: int, last_day: date) -> None:
    assert expires_on(issued_on, months) == last_day


def test_no_months_means_no_limit() -> None:
    assert expires_on(date(2025, 3, 10), None) is None


@pytest.mark.parametrize("months", [0, -1, -24])
def test_fewer_than_one_month_is_refused_with_a_sentence(months: int) -> None:
    with pytest.raises(ValueError, match=f"at least 1 month, not {months}"):
        expires_on(date(2025, 3, 10), months)


@pytest.mark.parametrize(("issued_on", "months"), [(date(9999, 12, 31), 1), (date(2025, 1, 1), 10**9)])
def test_a_last_day_past_the_calendar_is_refused_with_a_sentence(issued_on: date, months: int) -> None:
    with pytest.raises(ValueError, match="past the year 9999"):
        expires_on(issued_on, months)
