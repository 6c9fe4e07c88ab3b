"""What is still free on a floor, and how long a note waits."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outbox.rules.backoff import WAITS_MINUTES, next_try
from shifts.rules.free_time import free_gaps

DAY = datetime(2026, 11, 28, tzinfo=UTC)


def at(minute: int) -> datetime:
    return DAY + timedelta(minutes=minute)


spans = st.tuples(st.integers(-100, 700), st.integers(1, 300)).map(lambda s: (at(s[0]), at(s[0] + s[1])))


@given(busy=st.lists(spans, max_size=6), need=st.integers(1, 200))
def test_gaps_are_exactly_the_minutes_that_nobody_holds(busy: list[tuple[datetime, datetime]], need: int) -> None:
    gaps = free_gaps(busy, at(0), at(600), timedelta(minutes=need))

    # Minute by minute, the plainest way there is.
    free = [all(not (start <= at(m) < end) for start, end in busy) for m in range(600)]
    runs, begun = [], None
    for minute, open_now in enumerate([*free, False]):
        if open_now and begun is None:
            begun = minute
        elif not open_now and begun is not None:
            if minute - begun >= need:
                runs.append((at(begun), at(minute)))
            begun = None
    assert gaps == runs


def test_a_gap_of_just_the_need_is_one_and_a_moment_is_none() -> None:
    hour = timedelta(hours=1)

    assert free_gaps([(at(60), at(120))], at(0), at(180), hour) == [(at(0), at(60)), (at(120), at(180))]
    assert free_gaps([(at(59), at(121))], at(0), at(180), hour) == []
    # Nothing needed still asks for some time: touching stays leave none, and a day without length has none.
    assert free_gaps([(at(0), at(60)), (at(60), at(180))], at(0), at(180), timedelta(0)) == []
    assert free_gaps([], at(60), at(60), timedelta(0)) == []


def test_a_day_that_closes_before_it_opens_is_refused() -> None:
    with pytest.raises(ValueError, match="closes before it opens"):
        free_gaps([], at(60), at(0), timedelta(minutes=1))


def test_waits_grow_and_end_with_a_person() -> None:
    waits = [next_try(tries, DAY) for tries in range(1, len(WAITS_MINUTES) + 1)]

    assert waits == sorted(waits, key=lambda moment: moment or DAY)
    assert next_try(len(WAITS_MINUTES) + 1, DAY) is None
    with pytest.raises(ValueError, match="at least one try"):
        next_try(0, DAY)


@pytest.mark.parametrize(("tries", "minutes"), [(1, 1), (2, 5), (3, 30), (4, 120), (5, 360), (6, None), (99, None)])
def test_a_note_is_tried_five_times_more_within_a_working_day(tries: int, minutes: int | None) -> None:
    assert next_try(tries, DAY) == (None if minutes is None else at(minutes))
