"""The calendar: which floor is held when, by week, month and day, on every center's own clock."""

import calendar as month_book
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from clinics.models import AgeBand, Clinic, ClosedDays, OpenHours, Status
from core import clock
from core.rules.local_time import localize
from scheduling.models import SET_UP, TAKE_DOWN, Booking
from scheduling.rules.calendar_days import (
    Part,
    clock_change,
    month_weeks,
    next_month,
    part_of_day,
    week_of,
)
from shifts.models import Reply

NEW_YORK, CHICAGO = ZoneInfo("America/New_York"), ZoneInfo("America/Chicago")


@pytest.fixture
def client(coordinator, signed_in):
    return signed_in(coordinator)


@pytest.fixture
def clinic_on(make_space):
    def inner(day, starts, ends, space=None, ends_on=None, status=Status.CONFIRMED):
        space = space or make_space()
        tz = space.center.tz
        begin, end = localize(day, starts, tz).astimezone(UTC), localize(ends_on or day, ends, tz).astimezone(UTC)
        row = Clinic.objects.create(center=space.center, starts_at=begin, ends_at=end, status=status, theme="Bridges")
        AgeBand.objects.create(clinic=row, youngest=7, oldest=10, children=16)
        Booking.objects.create(
            clinic=row, space=space, period=(begin - SET_UP, end + TAKE_DOWN), status=status, asked_at=clock.now()
        )
        return row

    return inner


def see(client, view, day, **more):
    answer = client.get(reverse("clinics"), {"view": view, "day": str(day)} | more)
    assert answer.status_code == 200
    return answer


def cells(answer, clinic):
    """(day, when, held) of each cell of the week that shows this clinic."""
    return [
        (cell.day, entry.when, entry.held)
        for row in answer.context["rows"]
        for cell in row.cells
        for entry in cell.entries
        if entry.clinic.pk == clinic.pk
    ]


# Python's own calendar module knows the weeks of a month.
@given(st.dates(date(2000, 1, 1), date(2100, 12, 1)))
def test_the_weeks_of_a_month_are_those_of_the_standard_library(day):
    assert month_weeks(day) == month_book.Calendar(0).monthdatescalendar(day.year, day.month)
    assert day in week_of(day) and week_of(day)[0].isocalendar().weekday == 1
    assert next_month(next_month(day), -1) == day.replace(day=1)


@given(st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 1)), st.integers(1, 60 * 20))
def test_the_parts_of_two_days_are_the_whole_stretch(naive, minutes):
    start = naive.replace(second=0, microsecond=0, tzinfo=UTC)
    end = start + timedelta(minutes=minutes)
    parts = [part_of_day(start, end, start.date() + timedelta(days=number), ZoneInfo("UTC")) for number in (-1, 0, 1)]
    assert parts[0] is None
    assert sum(part.ends - part.begins for part in parts if part) == minutes


def test_a_clinic_that_ends_at_midnight_belongs_to_the_day_it_closes():
    start, end = datetime(2026, 12, 4, 22, tzinfo=NEW_YORK), datetime(2026, 12, 5, 0, tzinfo=NEW_YORK)
    assert part_of_day(start, end, date(2026, 12, 4), NEW_YORK) == Part(1320, 1440, False, False)
    assert part_of_day(start, end, date(2026, 12, 5), NEW_YORK) is None


# 2026-11-01 and 2027-03-14: Energy Policy Act of 2005, section 110 (from memory).
@pytest.mark.parametrize(
    ("day", "change"), [(date(2026, 11, 1), "back"), (date(2027, 3, 14), "forward"), (date(2026, 12, 1), "")]
)
def test_the_days_on_which_clocks_change(day, change):
    assert clock_change(day, NEW_YORK) == change


@pytest.mark.parametrize("view", ["week", "month", "day"])
def test_a_stranger_is_sent_to_sign_in(stranger, view, db):
    answer = stranger.get(reverse("clinics"), {"view": view})
    assert answer.status_code == 302 and "next=" in answer["Location"]


def test_the_week_says_clinic_hold_status_and_cover_in_words(
    client, clinic_on, make_shift, make_assignment, move_clock
):
    move_clock(datetime(2026, 12, 1, 12, tzinfo=UTC))
    row = clinic_on(date(2026, 12, 5), time(9, 30), time(11, 30), status=Status.TENTATIVE)
    make_shift(row)
    make_assignment(make_shift(row), reply=Reply.ACCEPTED)

    answer = see(client, "week", "2026-12-01")
    words = answer.content.decode()

    assert cells(answer, row) == [(date(2026, 12, 5), "09:30 to 11:30", Part(540, 720, False, False))]
    assert "reserved 09:00 to 12:00" in words and "tentative" in words and "1 of 2" in words
    assert words.index('class="strip"') < words.index('class="clock-line"')
    assert answer.context["rows"][0].cells[5].bars == [(36.0, 12.0, "held"), (38.0, 8.0, "clinic")]


@pytest.mark.parametrize(
    ("sunday", "change", "words"),
    [(date(2026, 11, 1), "back", "clocks fall back"), (date(2027, 3, 14), "forward", "clocks spring forward")],
)
def test_a_week_in_which_the_clocks_change_keeps_every_wall_time(client, clinic_on, make_space, sunday, change, words):
    space = make_space()
    rows = [clinic_on(day, time(9, 30), time(11, 30), space) for day in week_of(sunday)]

    answer = see(client, "week", sunday)

    for day, row in zip(week_of(sunday), rows, strict=True):
        assert cells(answer, row) == [(day, "09:30 to 11:30", Part(540, 720, False, False))]
    assert [found for _, found, _ in answer.context["days"]] == ["", "", "", "", "", "", change]
    assert words in answer.content.decode()


def test_a_clinic_over_midnight_stands_on_both_days(client, clinic_on):
    row = clinic_on(date(2026, 12, 4), time(22), time(1), ends_on=date(2026, 12, 5))

    answer = see(client, "week", "2026-12-04")

    assert cells(answer, row) == [
        (date(2026, 12, 4), "22:00 to Sat 01:00", Part(1290, 1440, False, True)),
        (date(2026, 12, 5), "Fri 22:00 to 01:00", Part(0, 90, True, False)),
    ]
    for day in ("2026-12-04", "2026-12-05"):
        assert row.center.name in "".join(
            entry.clinic.center.name for cell in see(client, "day", day).context["cells"] for entry in cell.entries
        )


def test_where_only_the_hold_reaches_over_midnight_the_next_day_says_when_the_clinic_is(client, clinic_on):
    row = clinic_on(date(2026, 12, 4), time(21), time(23, 45))

    assert cells(see(client, "week", "2026-12-04"), row) == [
        (date(2026, 12, 4), "21:00 to 23:45", Part(1230, 1440, False, True)),
        (date(2026, 12, 5), "Fri 21:00 to 23:45", Part(0, 15, True, False)),
    ]


def test_another_zone_is_named_and_its_clinic_stands_on_its_own_day(client, clinic_on, make_space, make_center):
    far = make_space(make_center("Far", time_zone="Pacific/Auckland"))
    row = clinic_on(date(2026, 12, 7), time(8), time(10), far)  # Sunday evening in New York

    answer = see(client, "week", "2026-12-07")

    assert cells(answer, row)[0][:2] == (date(2026, 12, 7), "08:00 to 10:00")
    assert "times in Pacific/Auckland" in answer.content.decode()
    assert "times in America/New_York" not in answer.content.decode()
    assert not cells(see(client, "week", "2026-12-06"), row)


def test_cancelled_clinics_are_hidden_until_asked_for(client, clinic_on):
    row = clinic_on(date(2026, 12, 5), time(9), time(11), status=Status.CANCELLED)
    for view in ("week", "month", "day"):
        assert reverse("clinic", args=[row.pk]) not in see(client, view, "2026-12-05").content.decode()
        shown = see(client, view, "2026-12-05", cancelled="yes").content.decode()
        assert reverse("clinic", args=[row.pk]) in shown and "cancelled" in shown


def test_closed_days_are_marked(client, make_space):
    center = make_space().center
    ClosedDays.objects.create(center=center, first_day="2026-12-02", last_day="2026-12-03", why="floor is sanded")
    for weekday in range(5):
        OpenHours.objects.create(center=center, weekday=weekday, opens=time(9), closes=time(20))

    answer = see(client, "week", "2026-12-01")

    assert [cell.closed for cell in answer.context["rows"][0].cells] == [
        "", "", "closed: floor is sanded", "closed: floor is sanded", "", "closed", "closed",
    ]  # fmt: skip
    assert "floor is sanded" in see(client, "day", "2026-12-02").content.decode()
    assert "1 center closed" in see(client, "month", "2026-12-02").content.decode()


def test_a_full_day_of_the_month_says_how_many_more(client, clinic_on):
    rows = [clinic_on(date(2026, 12, 5), time(9, number), time(11)) for number in range(7)]

    words = see(client, "month", "2026-12-01").content.decode()

    assert "and 3 more" in words and "7 clinics in December 2026" in words
    only = see(client, "month", "2026-12-01", center=rows[6].center_id).content.decode()
    assert "1 clinic in December 2026" in only and reverse("clinic", args=[rows[6].pk]) in only
    assert len(see(client, "day", "2026-12-05").context["cells"]) == 7


@pytest.mark.parametrize("view", ["week", "month", "day"])
@pytest.mark.parametrize("day", ["banana", "9999-12-31", "0001-01-01", "2026-02-30", "", "2000-01-01", "2100-12-31"])
def test_odd_days_give_a_page_that_says_so(client, view, day, make_space):
    make_space()
    words = see(client, view, day, center="-1", page="x").content.decode()
    assert ("isn’t a date" in words) == (day in ("banana", "2026-02-30"))
    assert ("from 2000 through 2100" in words) == (day in ("9999-12-31", "0001-01-01"))


def test_the_number_of_queries_is_the_same_for_one_clinic_and_for_forty(client, clinic_on, make_shift):
    def count(view):
        with CaptureQueriesContext(connection) as found:
            see(client, view, "2026-12-05")
        return len(found)

    make_shift(clinic_on(date(2026, 12, 5), time(9), time(11)))
    see(client, "week", "2026-12-05")
    before = {view: count(view) for view in ("week", "month", "day")}
    for number in range(40):
        make_shift(clinic_on(date(2026, 12, 1 + number % 6), time(9), time(11)))

    assert {view: count(view) for view in before} == before and max(before.values()) <= 30
