"""The demo's clinic of today: at every minute of a day its floor can be opened, and an odd hour is explained."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from demo.hours import LASTS, hours_of_today, why_at_this_hour

NEW_YORK = ZoneInfo("America/New_York")
AN_ORDINARY_DAY = datetime(2026, 11, 25, tzinfo=NEW_YORK)
CLOCKS_GO_FORWARD = datetime(2026, 3, 8, tzinfo=NEW_YORK)
CLOCKS_GO_BACK = datetime(2026, 11, 1, tzinfo=NEW_YORK)


def minutes_of(day: datetime, every: int = 7) -> list[datetime]:
    """Moments of the whole local day, 23, 24 or 25 hours as it may have."""
    moment, ends = day.astimezone(UTC), (day + timedelta(days=1)).astimezone(UTC)
    out = []
    while moment < ends:
        out.append(moment)
        moment += timedelta(minutes=every)
    return out


@pytest.mark.parametrize("day", [AN_ORDINARY_DAY, CLOCKS_GO_FORWARD, CLOCKS_GO_BACK])
def test_it_is_on_the_day_and_can_be_tried_now(day: datetime) -> None:
    for now in minutes_of(day):
        begins, ends = hours_of_today(now, NEW_YORK)

        assert ends - begins == LASTS
        assert begins.astimezone(NEW_YORK).date() == ends.astimezone(NEW_YORK).date() == day.date()
        assert begins.astimezone(NEW_YORK).minute % 5 == 0
        # Soon, running, or over a quarter of an hour at most.
        assert now - timedelta(minutes=15) <= ends and begins <= now + timedelta(minutes=35)


def test_by_day_it_begins_within_the_hour_at_an_hour_that_needs_no_words() -> None:
    for now in minutes_of(AN_ORDINARY_DAY):
        if time(8, 30) <= now.astimezone(NEW_YORK).time() <= time(17, 30):
            begins, ends = (moment.astimezone(NEW_YORK) for moment in hours_of_today(now, NEW_YORK))

            assert timedelta(minutes=30) <= begins - now < timedelta(minutes=60)
            assert time(9) <= begins.time() <= time(18)
            assert why_at_this_hour(begins, ends) == ""


@pytest.mark.parametrize("day", [AN_ORDINARY_DAY, CLOCKS_GO_FORWARD, CLOCKS_GO_BACK])
def test_at_any_other_hour_one_sentence_says_why(day: datetime) -> None:
    said = set()
    for now in minutes_of(day):
        begins, ends = (moment.astimezone(NEW_YORK) for moment in hours_of_today(now, NEW_YORK))
        words = why_at_this_hour(begins, ends)
        said.add(words.partition(",")[0])
        assert bool(words) == (begins.time() < time(9) or ends.time() > time(20))
        if words:
            assert f"{begins:%H:%M} to {ends:%H:%M}" in words and words.endswith(
                "so that you can try its floor page now."
            )

    assert said == {"", "Today’s demo clinic is early", "Today’s demo clinic is late"}
