"""Standing on the days around a last day: leap days, boundary days and published intervals."""

from datetime import date, timedelta

import pytest

from people.rules.standing import Clearance, PolicyRow, standing

DAY = timedelta(days=1)

# (what, months, issued, last valid day). The days are worked by hand from the calendar.
PUBLISHED = [
    # usaracquetball.com background checks (Apr 2021), seen: "A background check is valid for two years."
    ("Olympic movement background check", 24, date(2025, 3, 10), date(2027, 3, 10)),
    # usaskateboarding.com, mssoccer.org, ussoccer.com, seen in two variants: a refresher within 12 months.
    ("SafeSport training", 12, date(2026, 1, 31), date(2027, 1, 31)),
    # General pages and vancouverfirstaid.ca, seen on secondary pages: 2 years for CPR and first aid.
    ("CPR and first aid", 24, date(2024, 2, 29), date(2026, 2, 28)),
    # beginningboyscouts.com, seen: "every two years" (a newer yearly rule for some: from memory).
    ("Scouting youth protection training", 24, date(2025, 8, 31), date(2027, 8, 31)),
    # centralsurreyvoluntaryaction.co.uk, seen: "no official expiry date ... every three years" as good practice.
    ("DBS check, good practice", 36, date(2025, 2, 28), date(2028, 2, 28)),
    # minimode.com.au guide to working with children checks (2026), seen on a secondary page.
    ("Working with children check, New South Wales", 60, date(2024, 2, 29), date(2029, 2, 28)),
    ("Working with children check, Queensland", 36, date(2024, 2, 29), date(2027, 2, 28)),
    ("Working with children check, Northern Territory", 24, date(2026, 6, 30), date(2028, 6, 30)),
    # A local softball page, seen: "Clearances must be renewed every 60 months"; peterstownship.com/224: 36.
    ("Pennsylvania volunteer clearances", 60, date(2026, 11, 25), date(2031, 11, 25)),
    ("Pennsylvania, a township's own rule", 36, date(2026, 11, 25), date(2029, 11, 25)),
    # Florida Statutes 435 and 943.0438, from memory.
    ("Florida level 2 screening", 60, date(2023, 12, 31), date(2028, 12, 31)),
    # Massachusetts CORI and SORI for schools and camps, from memory.
    ("Massachusetts CORI", 36, date(2025, 5, 31), date(2028, 5, 31)),
]


@pytest.mark.parametrize(("what", "months", "issued", "last"), PUBLISHED, ids=[row[0] for row in PUBLISHED])
def test_a_published_interval_holds_through_its_last_day(what: str, months: int, issued: date, last: date) -> None:
    records = [Clearance("check", "clear", issued)]
    policy = [PolicyRow("coach", "check", months, notice_days=0)]

    states = [
        standing("coach", records, policy, day).state for day in (issued - DAY, issued, last - DAY, last, last + DAY)
    ]

    assert states == ["missing", "current", "current", "expires soon", "expired"]


def test_a_check_without_a_published_end_never_expires() -> None:
    # UK DBS, centralsurreyvoluntaryaction.co.uk, seen: "DBS check has no official expiry date".
    records = [Clearance("dbs", "clear", date(2001, 5, 1))]

    answer = standing("coach", records, [PolicyRow("coach", "dbs", None)], date(2099, 1, 1))

    assert answer.state == "current"
    assert answer.reasons == [("dbs", "current", None)]
    assert answer.last_days == {"dbs": None}
    assert answer.ok_until is None


@pytest.mark.parametrize(
    ("on", "state", "changes_on"),
    [
        # Issued 29 Feb 2024 for 24 months, 60 days of notice: 28 Feb 2026 less 60 days is 30 Dec 2025.
        (date(2024, 2, 28), "missing", date(2024, 2, 29)),
        (date(2024, 2, 29), "current", date(2025, 12, 30)),
        (date(2025, 12, 29), "current", date(2025, 12, 30)),
        (date(2025, 12, 30), "expires soon", date(2026, 3, 1)),
        (date(2026, 2, 28), "expires soon", date(2026, 3, 1)),
        (date(2026, 3, 1), "expired", None),
        (date(2028, 2, 29), "expired", None),
    ],
)
def test_a_leap_day_record_changes_on_these_days(on: date, state: str, changes_on: date | None) -> None:
    records = [Clearance("check", "clear", date(2024, 2, 29))]

    answer = standing("coach", records, [PolicyRow("coach", "check", 24)], on)

    assert answer.reasons == [("check", state, changes_on)]


def test_a_renewal_on_the_day_after_the_last_leaves_no_gap() -> None:
    policy = [PolicyRow("coach", "check", 24, notice_days=0)]
    first = Clearance("check", "clear", date(2024, 2, 29))

    touching = [first, Clearance("check", "clear", date(2026, 3, 1))]
    a_day_late = [first, Clearance("check", "clear", date(2026, 3, 2))]

    assert standing("coach", touching, policy, date(2026, 2, 28)).ok_until == date(2028, 3, 1)
    assert standing("coach", a_day_late, policy, date(2026, 2, 28)).ok_until == date(2026, 2, 28)
    assert standing("coach", a_day_late, policy, date(2026, 3, 1)).state == "expired"
