"""Who may open what is locked about a child, and when."""

from datetime import date, timedelta

import pytest

from families.rules.care import care_opens

DAY = date(2026, 11, 28)


@pytest.mark.parametrize(
    ("reads_care", "keeps_records", "clinic_day", "today_there", "opens"),
    [
        # Admin, at any time and without a clinic.
        (True, True, None, None, True),
        (True, True, DAY, DAY + timedelta(days=90), True),
        # A floor lead, on the clinic's day at the center and on no other.
        (True, False, DAY, DAY, True),
        (True, False, DAY, DAY - timedelta(days=1), False),
        (True, False, DAY, DAY + timedelta(days=1), False),
        (True, False, DAY, None, False),
        (True, False, None, DAY, False),
        # No clinic and no day are no clinic's day.
        (True, False, None, None, False),
        # Who may not read care never does, whatever else they keep.
        (False, True, DAY, DAY, False),
        (False, False, DAY, DAY, False),
    ],
)
def test_care_opens_to_the_admin_and_on_the_day_to_the_floor_lead(
    reads_care: bool, keeps_records: bool, clinic_day: date | None, today_there: date | None, opens: bool
) -> None:
    found = care_opens(
        reads_care=reads_care, keeps_records=keeps_records, clinic_day=clinic_day, today_there=today_there
    )

    assert found is opens
