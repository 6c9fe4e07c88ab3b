"""Who may open a sign-in sheet: the rule."""

from datetime import UTC, datetime, timedelta

import pytest

from families.rules.door import Leading, door_bar

OPENS = datetime(2026, 12, 4, 5, tzinfo=UTC)
CLOSES = datetime(2026, 12, 6, 4, tzinfo=UTC)
SECOND = timedelta(seconds=1)
MINE = Leading(leads=True, opens_at=OPENS, closes_at=CLOSES)
NOT_MINE = Leading(leads=False, opens_at=OPENS, closes_at=CLOSES)


@pytest.mark.parametrize(
    ("keeps_records", "leading", "now", "bar"),
    [
        (True, None, OPENS - timedelta(days=90), ""),
        (True, NOT_MINE, CLOSES + timedelta(days=90), ""),
        (False, None, OPENS, "not the lead"),
        (False, NOT_MINE, OPENS, "not the lead"),
        (False, MINE, OPENS - SECOND, "too early"),
        (False, MINE, OPENS, ""),
        (False, MINE, CLOSES - SECOND, ""),
        (False, MINE, CLOSES, "closed"),
    ],
)
def test_the_office_at_any_time_and_a_lead_in_the_hours_of_their_clinic(keeps_records, leading, now, bar):
    assert door_bar(keeps_records=keeps_records, leading=leading, now=now) == bar
