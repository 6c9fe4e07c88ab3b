"""Whether somebody can come, by what they told us themselves: each limit at its edge."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from shifts.rules.availability import Availability
from shifts.rules.eligibility import (
    Away,
    Candidacy,
    Hours,
    Reason,
    Shifts,
    TooFar,
    Wanted,
    Window,
    reasons_against,
)

# A Saturday.
NINE = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
NOON = NINE + timedelta(hours=3)


def against(
    known: Availability,
    starts: datetime = NINE,
    ends: datetime = NOON,
    shifts: int = 0,
    hours: float = 0,
    km: float | None = None,
    way: float = 0,
) -> list[Reason]:
    takes = (ends - starts).total_seconds() / 3600 + way
    person = Candidacy(frozenset({"coach"}), known=known, shifts=shifts, hours=hours, takes=takes, km=km)
    return reasons_against(Wanted(1, "coach", starts, ends), person)


def test_who_told_us_nothing_can_come_anywhere_at_any_time() -> None:
    assert against(Availability(), shifts=99, hours=999, km=9999) == []


def test_without_a_word_of_the_way_it_costs_no_time() -> None:
    assert against(Availability(hours_a_month=3)) == [] != against(Availability(hours_a_month=2.99))


@pytest.mark.parametrize("ends", [NINE, NINE - timedelta(minutes=1)])
def test_a_shift_that_does_not_end_after_it_starts_is_refused(ends: datetime) -> None:
    with pytest.raises(ValueError, match="A shift ends after it starts"):
        against(Availability(), ends=ends)


@pytest.mark.parametrize(
    ("first", "last", "gone"),
    [
        (date(2026, 11, 28), date(2026, 11, 28), True),
        (date(2026, 11, 20), date(2026, 11, 28), True),
        (date(2026, 11, 28), date(2026, 12, 3), True),
        (date(2026, 11, 20), date(2026, 11, 27), False),
        (date(2026, 11, 29), date(2026, 11, 30), False),
    ],
)
def test_away_counts_on_its_first_and_last_day(first: date, last: date, gone: bool) -> None:
    assert against(Availability(away=[(first, last)])) == ([Away(first, last)] if gone else [])


def test_a_shift_past_midnight_meets_who_is_away_on_either_day() -> None:
    late = NINE + timedelta(hours=14)
    away = [(date(2026, 11, 28), date(2026, 11, 28)), (date(2026, 11, 29), date(2026, 11, 29))]

    assert against(Availability(away=away), late, late + timedelta(hours=2)) == [Away(*one) for one in away]


@pytest.mark.parametrize(
    ("window", "fits"),
    [
        ((time(9), time(12)), True),
        ((time(9, 1), time(12)), False),
        ((time(9), time(11, 59)), False),
        ((time(0), time(23, 59)), True),
    ],
)
def test_a_window_holds_the_whole_shift_or_is_named(window: tuple[time, time], fits: bool) -> None:
    assert against(Availability(windows={5: window})) == ([] if fits else [Window(5, window)])


def test_a_shift_past_midnight_fits_no_window_and_another_day_has_its_own() -> None:
    late = NINE + timedelta(hours=14)
    hours = time(0), time(23, 59)
    known = Availability(windows={5: hours})

    assert against(known, late, late + timedelta(hours=2)) == [Window(5, hours)]
    assert against(known, NINE + timedelta(days=1), NOON + timedelta(days=1)) == [Window(6, None)]


@pytest.mark.parametrize(("shifts", "reasons"), [(2, []), (3, [Shifts(3, 3)])])
def test_the_last_shift_of_a_month_may_still_be_taken(shifts: int, reasons: list[Reason]) -> None:
    assert against(Availability(shifts_a_month=3), shifts=shifts) == reasons


@pytest.mark.parametrize(
    ("hours", "way", "fits"),
    [(5, 0, True), (5.1, 0, False), (4, 1, True), (4, 1.1, False), (8, 0, False)],
)
def test_hours_of_a_month_count_the_shift_and_the_way(hours: float, way: float, fits: bool) -> None:
    found = against(Availability(hours_a_month=8), hours=hours, way=way)

    assert found == ([] if fits else [Hours(hours + way + 3, 8)])


def test_hours_that_add_up_to_the_limit_but_for_rounding_are_within_it() -> None:
    # 0.1 + 0.2 is a little more than 0.3 for a computer.
    assert against(Availability(hours_a_month=3.3), hours=0.1, way=0.2) == []


@pytest.mark.parametrize(("km", "reasons"), [(None, []), (10, []), (10.6, [TooFar(10.6, 10)])])
def test_the_farthest_way_is_still_near_enough_and_an_unknown_one_is_not_held_against_anybody(
    km: float | None, reasons: list[Reason]
) -> None:
    assert against(Availability(farthest_km=10), km=km) == reasons
    assert against(Availability(), km=km) == []


def test_every_reason_is_given_and_not_the_first() -> None:
    known = Availability(
        windows={0: (time(9), time(12))},
        away=[(date(2026, 11, 28), date(2026, 11, 28))],
        shifts_a_month=1,
        hours_a_month=2,
        farthest_km=5,
    )

    assert against(known, shifts=1, hours=1, km=6) == [
        Away(date(2026, 11, 28), date(2026, 11, 28)),
        Window(5, None),
        Shifts(1, 1),
        Hours(4, 2),
        TooFar(6, 5),
    ]
