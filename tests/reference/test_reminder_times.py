"""Reminder times across both changes of the clocks, against zoneinfo and dates worked by hand."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shifts.rules.reminder_times import SCHEDULE, ReminderStep, reminder_times

NEW_YORK = ZoneInfo("America/New_York")
LORD_HOWE = ZoneInfo("Australia/Lord_Howe")
LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
ZONES = [
    "America/New_York", "America/Los_Angeles", "America/Phoenix", "Europe/London", "Australia/Lord_Howe",
    "Australia/Sydney", "Asia/Kolkata", "Pacific/Chatham",
]  # fmt: skip
NIGHT = (time(21, 0), time(8, 0))


def utc(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=UTC)


def wall(moment: datetime, tz: ZoneInfo) -> datetime:
    return moment.astimezone(tz).replace(tzinfo=None)


def first_showing(wanted: datetime, tz: ZoneInfo) -> datetime:
    """The first moment that shows a wall time, without fold: try every offset the zone has had within two days.

    A skipped time is read with the offset that held the day before.
    """
    naive_utc = wanted.replace(tzinfo=UTC)
    offsets = {(naive_utc + timedelta(hours=h)).astimezone(tz).utcoffset() for h in range(-48, 49)}
    shown = [naive_utc - o for o in offsets if o is not None and wall(naive_utc - o, tz) == wanted]
    if shown:
        return min(shown)
    day_before = (naive_utc - timedelta(days=1)).astimezone(tz).utcoffset()
    assert day_before is not None
    return naive_utc - day_before


@pytest.mark.parametrize(
    ("starts_at", "tz", "expected"),
    [
        # 16:00 on the Sunday on which New York goes forward (8 March 2026): 7 days before is 16:00 standard time,
        # 48 hours before shows 15:00, the morning is 07:00 daylight time.
        (utc(3, 8, 20), NEW_YORK, [utc(3, 1, 21), utc(3, 6, 20), utc(3, 8, 11)]),
        # 16:00 on the Sunday on which New York goes back (1 November 2026).
        (utc(11, 1, 21), NEW_YORK, [utc(10, 25, 20), utc(10, 30, 21), utc(11, 1, 12)]),
        # 10:00 on the Sunday on which Lord Howe goes forward by half an hour (4 October 2026, to +11:00).
        (utc(10, 3, 23), LORD_HOWE, [utc(9, 26, 23, 30), utc(10, 1, 23), utc(10, 3, 20)]),
        # 10:00 on the Sunday on which Lord Howe goes back by half an hour (5 April 2026, to +10:30).
        (utc(4, 4, 23, 30), LORD_HOWE, [utc(3, 28, 23), utc(4, 2, 23, 30), utc(4, 4, 20, 30)]),
        # No change of clocks in Phoenix.
        (utc(3, 8, 23), ZoneInfo("America/Phoenix"), [utc(3, 1, 23), utc(3, 6, 23), utc(3, 8, 14)]),
    ],
)
def test_the_ladder_across_a_change_of_clocks(starts_at: datetime, tz: ZoneInfo, expected: list[datetime]) -> None:
    due = reminder_times(starts_at, SCHEDULE, None, tz, LONG_AGO)

    assert due == list(zip(["7 days", "48 hours", "morning"], expected, strict=True))


@pytest.mark.parametrize(
    ("starts_at", "tz", "step", "expected"),
    [
        # 02:30 on 15 March; 02:30 on 8 March is skipped and becomes 03:30 daylight time.
        (utc(3, 15, 6, 30), NEW_YORK, SCHEDULE[0], utc(3, 8, 7, 30)),
        # 02:15 on 11 October at Lord Howe; 02:15 on 4 October is skipped and becomes 02:45 (+11:00).
        (utc(10, 10, 15, 15), LORD_HOWE, SCHEDULE[0], utc(10, 3, 15, 45)),
        # 01:30 on 8 November; 01:30 on 1 November comes twice, the first time in daylight time.
        (utc(11, 8, 6, 30), NEW_YORK, SCHEDULE[0], utc(11, 1, 5, 30)),
        # 01:45 on 12 April at Lord Howe; 01:45 on 5 April comes twice, the first time at +11:00.
        (utc(4, 11, 15, 15), LORD_HOWE, SCHEDULE[0], utc(4, 4, 14, 45)),
        # A clinic that starts in the second 01:30 of 1 November: elapsed hours count from that second one.
        (utc(11, 1, 6, 30), NEW_YORK, SCHEDULE[1], utc(10, 30, 6, 30)),
    ],
)
def test_skipped_and_repeated_times(starts_at: datetime, tz: ZoneInfo, step: ReminderStep, expected: datetime) -> None:
    assert reminder_times(starts_at, [step], None, tz, LONG_AGO) == [(step.name, expected)]


minutes_of_2026 = st.integers(0, 365 * 24 * 60).map(lambda n: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=n))
zones = st.sampled_from(ZONES).map(ZoneInfo)
clock_times = st.integers(0, 24 * 60 - 1).map(lambda n: time(n // 60, n % 60))


@settings(deadline=None, max_examples=500)
@given(minutes_of_2026, zones, st.integers(1, 30), st.none() | clock_times)
def test_days_before_is_the_same_wall_time_on_the_earlier_day(
    starts_at: datetime, tz: ZoneInfo, days: int, at: time | None
) -> None:
    local = wall(starts_at, tz)
    wanted = datetime.combine(local.date() - timedelta(days=days), at or local.time())

    due = reminder_times(starts_at, [ReminderStep("some days", days_before=days, at=at)], None, tz, LONG_AGO)

    assert due == [("some days", first_showing(wanted, tz))]


@settings(deadline=None, max_examples=200)
@given(minutes_of_2026, zones, st.integers(1, 200))
def test_hours_before_is_elapsed_time(starts_at: datetime, tz: ZoneInfo, hours: int) -> None:
    due = reminder_times(starts_at, [ReminderStep("some hours", hours_before=hours)], None, tz, LONG_AGO)

    assert due == [("some hours", starts_at - timedelta(hours=hours))]


steps = st.builds(
    ReminderStep,
    name=st.uuids().map(str),
    days_before=st.integers(0, 10),
    hours_before=st.sampled_from([0, 0, 1, 5, 48]),
    at=st.none() | clock_times,
)


@pytest.mark.thorough
@settings(deadline=None, max_examples=500)
@given(
    minutes_of_2026,
    zones,
    st.lists(steps, max_size=6),
    st.tuples(clock_times, clock_times),
    st.integers(0, 15 * 24),
)
def test_nothing_quiet_nothing_past_nothing_late_nothing_twice(
    starts_at: datetime, tz: ZoneInfo, schedule: list[ReminderStep], quiet: tuple[time, time], hours_left: int
) -> None:
    now = starts_at - timedelta(hours=hours_left)

    due = reminder_times(starts_at, schedule, quiet, tz, now)

    moments = [moment for _, moment in due]
    names = [name for name, _ in due]
    assert moments == sorted(set(moments))
    assert len(set(names)) == len(names)
    assert set(names) <= {step.name for step in schedule}
    for moment in moments:
        assert now < moment < starts_at
        shown = wall(moment, tz).time()
        begins, ends = quiet
        in_quiet = begins <= shown < ends if begins <= ends else not ends <= shown < begins
        assert not in_quiet


def clocks_change(around: datetime, tz: ZoneInfo) -> bool:
    offsets = {(around + timedelta(hours=hours)).astimezone(tz).utcoffset() for hours in range(-72, 73)}
    return len(offsets) > 1


@settings(deadline=None, max_examples=300)
@given(minutes_of_2026, zones, steps, st.tuples(clock_times, clock_times))
def test_a_quiet_reminder_waits_until_quiet_ends_or_else_goes_just_before_it_begins(
    starts_at: datetime, tz: ZoneInfo, step: ReminderStep, quiet: tuple[time, time]
) -> None:
    """Minute by minute, the plainest way there is."""
    begins, ends = quiet

    def is_quiet(moment: datetime) -> bool:
        shown = wall(moment, tz).time()
        return begins <= shown < ends if begins <= ends else not ends <= shown < begins

    due = reminder_times(starts_at, [step], quiet, tz, LONG_AGO)
    for _, wanted in reminder_times(starts_at, [step], None, tz, LONG_AGO):
        later = earlier = wanted
        # Where the clocks change the hours have worked examples of their own below.
        if is_quiet(wanted) and clocks_change(wanted, tz):
            continue
        while is_quiet(later):
            later += timedelta(minutes=1)
        while is_quiet(earlier):
            earlier -= timedelta(minutes=1)
        assert due == [(step.name, later if later < starts_at else earlier)]


def local(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime.combine(day, time(hour, minute), tzinfo=NEW_YORK)


SATURDAY = date(2026, 6, 13)
FRIDAY = date(2026, 6, 12)


@pytest.mark.parametrize(
    ("starts_at", "quiet", "expected"),
    [
        # 07:00 is quiet until 08:00, and the clinic starts after that.
        (local(SATURDAY, 10), NIGHT, local(SATURDAY, 8)),
        # It starts at 08:00 sharp, so it goes in the last minute of the evening before.
        (local(SATURDAY, 8), NIGHT, local(FRIDAY, 20, 59)),
        (local(SATURDAY, 8, 1), NIGHT, local(SATURDAY, 8)),
        # Quiet hours within one day.
        (local(SATURDAY, 10), (time(6), time(9, 30)), local(SATURDAY, 9, 30)),
        (local(SATURDAY, 9), (time(6), time(9, 30)), local(SATURDAY, 5, 59)),
        # Quiet hours that end when the reminder is due, begin just after it, or are none at all.
        (local(SATURDAY, 10), (time(21), time(7)), local(SATURDAY, 7)),
        (local(SATURDAY, 10), (time(7, 1), time(9)), local(SATURDAY, 7)),
        (local(SATURDAY, 10), (time(7), time(7)), local(SATURDAY, 7)),
    ],
)
def test_the_morning_reminder_keeps_quiet_hours(
    starts_at: datetime, quiet: tuple[time, time], expected: datetime
) -> None:
    due = reminder_times(starts_at, [SCHEDULE[2]], quiet, NEW_YORK, LONG_AGO)

    assert due == [("morning", expected.astimezone(UTC))]


def test_quiet_hours_that_end_in_a_skipped_hour_end_with_it() -> None:
    # Until 02:30, which New York skips on 8 March: at 03:00 daylight time nobody is asleep by the clock.
    step = ReminderStep("night", at=time(1, 0))

    due = reminder_times(utc(3, 8, 15), [step], (time(22), time(2, 30)), NEW_YORK, LONG_AGO)

    assert due == [("night", utc(3, 8, 7))]


def test_quiet_hours_that_begin_in_a_skipped_hour_begin_with_its_end() -> None:
    # From 02:30, skipped on 8 March, so from 03:00 daylight time; the minute before shows 01:59 standard time.
    starts_at = utc(3, 8, 11, 30)

    due = reminder_times(starts_at, [SCHEDULE[2]], (time(2, 30), time(8)), NEW_YORK, LONG_AGO)

    assert due == [("morning", utc(3, 8, 6, 59))]


def test_a_reminder_is_dropped_when_the_clocks_skip_all_that_is_not_quiet() -> None:
    # Only 02:30 to 03:00 is not quiet, and New York has no such half hour on 8 March.
    step = ReminderStep("night", at=time(1, 30))

    assert reminder_times(utc(3, 8, 15), [step], (time(3), time(2, 30)), NEW_YORK, LONG_AGO) == []


def test_quiet_hours_that_end_twice_end_at_the_next_end() -> None:
    # Due in the second 01:10 of 1 November, quiet until 01:15: the first 01:15 has passed.
    step = ReminderStep("short", hours_before=2)

    due = reminder_times(utc(11, 1, 8, 10), [step], (time(22), time(1, 15)), NEW_YORK, LONG_AGO)

    assert due == [("short", utc(11, 1, 6, 15))]


def test_of_two_reminders_at_one_moment_the_nearer_step_stays() -> None:
    schedule = [
        ReminderStep("at dawn", at=time(5)),
        ReminderStep("morning", at=time(7)),
        ReminderStep("by night", at=time(3)),
    ]

    due = reminder_times(local(SATURDAY, 10), schedule, NIGHT, NEW_YORK, LONG_AGO)

    assert due == [("morning", local(SATURDAY, 8).astimezone(UTC))]


@pytest.mark.parametrize(
    ("now", "names"),
    [
        (local(date(2026, 6, 6), 9, 59), ["7 days", "48 hours", "morning"]),
        (local(date(2026, 6, 6), 10), ["48 hours", "morning"]),
        (local(date(2026, 6, 11), 10), ["morning"]),
        (local(SATURDAY, 7), []),
        (local(SATURDAY, 12), []),
    ],
)
def test_what_is_due_now_or_earlier_is_dropped(now: datetime, names: list[str]) -> None:
    due = reminder_times(local(SATURDAY, 10), SCHEDULE, None, NEW_YORK, now)

    assert [name for name, _ in due] == names


def test_a_morning_reminder_after_the_start_is_dropped() -> None:
    assert reminder_times(local(SATURDAY, 6, 30), [SCHEDULE[2]], None, NEW_YORK, LONG_AGO) == []


@pytest.mark.parametrize(
    ("starts_at", "now", "sentence"),
    [
        (datetime(2026, 6, 13, 10), LONG_AGO, "start time 2026-06-13 10:00:00 has no time zone"),
        (utc(6, 13, 10), datetime(2026, 6, 1), "present time 2026-06-01 00:00:00 has no time zone"),
        (datetime.max.replace(tzinfo=UTC), LONG_AGO, "year 9999 can't have reminders"),
        (datetime.min.replace(tzinfo=UTC), LONG_AGO, "year 1 can't have reminders"),
    ],
)
def test_a_moment_that_can_not_be_placed_is_refused_with_a_sentence(
    starts_at: datetime, now: datetime, sentence: str
) -> None:
    with pytest.raises(ValueError, match=sentence):
        reminder_times(starts_at, SCHEDULE, NIGHT, NEW_YORK, now)


@pytest.mark.parametrize("year", [3, 9998])
def test_the_second_year_from_either_end_of_the_calendar_still_has_reminders(year: int) -> None:
    starts_at = datetime(year, 6, 13, 10, tzinfo=UTC)

    due = reminder_times(
        starts_at, [ReminderStep("a day", days_before=1)], None, ZoneInfo("UTC"), datetime.min.replace(tzinfo=UTC)
    )

    assert due == [("a day", starts_at - timedelta(days=1))]


@pytest.mark.parametrize("year", [2, 9999])
def test_the_years_at_either_end_have_none(year: int) -> None:
    with pytest.raises(ValueError, match=f"year {year} can't have reminders"):
        reminder_times(datetime(year, 6, 13, 10, tzinfo=UTC), SCHEDULE, None, NEW_YORK, LONG_AGO)


def test_a_step_of_a_year_and_a_day_is_the_longest() -> None:
    steps = [ReminderStep("days", days_before=366), ReminderStep("hours", hours_before=366 * 24)]
    starts_at = utc(6, 13, 10)

    assert reminder_times(starts_at, steps[:1], None, ZoneInfo("UTC"), LONG_AGO) == [
        ("days", starts_at - timedelta(days=366))
    ]
    assert reminder_times(starts_at, steps[1:], None, ZoneInfo("UTC"), LONG_AGO) == [
        ("hours", starts_at - timedelta(days=366))
    ]


@pytest.mark.parametrize(
    "build",
    [
        lambda: ReminderStep("far", hours_before=366 * 24 + 1),
        lambda: ReminderStep("later", days_before=-1),
        lambda: ReminderStep("later", hours_before=-1),
        lambda: ReminderStep("far", days_before=367),
        lambda: ReminderStep("far", hours_before=10**12),
        lambda: ReminderStep("zoned", at=time(7, tzinfo=UTC)),
    ],
)
def test_a_step_that_makes_no_sense_is_refused_with_a_sentence(build: Callable[[], ReminderStep]) -> None:
    with pytest.raises(ValueError, match=r"The reminder (later must lie|far must lie|zoned needs a wall time)"):
        build()
