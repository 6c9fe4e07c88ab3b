"""Series of clinics against the worked examples of RFC 5545 section 3.8.5.3 (the first Friday and the two days a week
as printed there; weekly and every other week from memory of the same section)."""

from datetime import date, timedelta

import pytest
from dateutil.rrule import rrulestr

from scheduling.rules.series import SeriesError, rule_for, series_days
from scheduling.words.series import series_problem


def days(year, *pairs):
    return [date(year + (month < pairs[0][0]), month, day) for month, numbers in pairs for day in numbers]


def test_the_first_friday_of_ten_months_as_in_the_rfc():
    # RRULE:FREQ=MONTHLY;COUNT=10;BYDAY=1FR from 5 September 1997.
    expected = [
        date(1997, 9, 5), date(1997, 10, 3), date(1997, 11, 7), date(1997, 12, 5), date(1998, 1, 2), date(1998, 2, 6),
        date(1998, 3, 6), date(1998, 4, 3), date(1998, 5, 1), date(1998, 6, 5),
    ]  # fmt: skip

    assert series_days(date(1997, 9, 5), "monthly", count=10) == expected


def test_weekly_until_a_day_and_every_other_week_as_in_the_rfc():
    # Weekly from 2 September 1997 runs through 23 December: 17 Tuesdays.
    weekly = series_days(date(1997, 9, 2), "weekly", until=date(1997, 12, 23))
    assert len(weekly) == 17 and weekly[-1] == date(1997, 12, 23)
    # Every other week from the same day (RFC: Sep 2, 16, 30; Oct 14, 28; Nov 11, 25; Dec 9, 23).
    assert series_days(date(1997, 9, 2), "fortnightly", until=date(1997, 12, 31)) == days(
        1997, (9, (2, 16, 30)), (10, (14, 28)), (11, (11, 25)), (12, (9, 23))
    )


def test_the_library_expands_the_rfcs_two_days_a_week_as_printed():
    found = [one.date() for one in rrulestr("DTSTART:19970902T090000\nRRULE:FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH")]

    assert found == days(1997, (9, (2, 4, 9, 11, 16, 18, 23, 25, 30)), (10, (2,)))


def test_a_fifth_weekday_becomes_the_last_so_that_no_month_goes_without():
    found = series_days(date(2027, 1, 30), "monthly", count=4)  # the fifth Saturday of January

    assert rule_for(date(2027, 1, 30), "monthly") == "FREQ=MONTHLY;BYDAY=-1SA"
    assert found == [date(2027, 1, 30), date(2027, 2, 27), date(2027, 3, 27), date(2027, 4, 24)]


def test_days_left_out_count_as_an_exdate_does():
    first = date(2027, 1, 2)

    found = series_days(first, "weekly", count=4, skip=[first + timedelta(weeks=1)])

    assert found == [first, first + timedelta(weeks=2), first + timedelta(weeks=3)]


@pytest.mark.parametrize(
    ("pattern", "ends", "code"),
    [
        ("weekly", {}, "no end"),
        ("weekly", {"until": date(2026, 1, 1)}, "ends before start"),
        ("weekly", {"count": 0}, "too few"),
        ("weekly", {"until": date(9999, 12, 31)}, "too many"),
        ("hourly", {"count": 3}, "no pattern"),
    ],
)
def test_a_series_that_cannot_be_is_refused_and_has_a_sentence(pattern, ends, code):
    with pytest.raises(SeriesError) as refused:
        series_days(date(2027, 1, 2), pattern, **ends)

    assert refused.value.code == code and series_problem(code).endswith(".")
