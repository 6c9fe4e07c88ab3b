"""What of a child's record goes when."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from families.rules.retention import Record, RetentionRule, redact_after, waiver_after, what_goes

RULE = RetentionRule(child_months=24, majority_age=18, limitation_years=2, keep_waivers=True)


def test_a_waiver_of_fourteen_is_kept_seven_years_more_with_a_limitation_of_two() -> None:
    """The worked example of recreation-law.com (2019): 4 years to majority + 2 of limitation + 1 = 7."""
    born = date(2012, 3, 9)
    signed_at_fourteen = date(2026, 3, 9)

    assert waiver_after(born, RULE) == signed_at_fourteen + relativedelta(years=7)


@given(st.dates(date(2000, 1, 1), date(2050, 1, 1)), st.integers(1, 240))
def test_months_are_those_of_dateutil(day: date, months: int) -> None:
    assert redact_after(day, months) == day + relativedelta(months=months)


@pytest.mark.parametrize(
    ("record", "today", "goes"),
    [
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True), date(2028, 6, 1), "nothing"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True), date(2028, 6, 2), "notes"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True, pared=True), date(2028, 6, 2), "nothing"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True, pared=True), date(2037, 5, 1), "nothing"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True, pared=True), date(2037, 5, 2), "all"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=False), date(2028, 6, 2), "all"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=False, held=True), date(2060, 1, 1), "nothing"),
    ],
)
def test_the_last_day_is_still_kept_and_the_day_after_is_not(record: Record, today: date, goes: str) -> None:
    assert what_goes(record, RULE, today) == goes


@pytest.mark.parametrize(
    ("record", "today", "goes"),
    [
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True), date(2028, 6, 1), "nothing"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True), date(2028, 6, 2), "all"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True, pared=True), date(2028, 6, 2), "all"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=False), date(2028, 6, 2), "all"),
        (Record(date(2016, 5, 1), date(2026, 6, 1), signed=True, held=True), date(2060, 1, 1), "nothing"),
    ],
)
def test_where_signatures_are_not_kept_everything_goes_with_the_notes(record: Record, today: date, goes: str) -> None:
    assert what_goes(record, replace(RULE, keep_waivers=False), today) == goes


@given(
    st.dates(date(2008, 1, 1), date(2020, 1, 1)),
    st.booleans(),
    st.booleans(),
    st.builds(RetentionRule, st.integers(1, 60), st.integers(18, 21), st.integers(0, 10), st.booleans()),
)
def test_all_goes_on_the_day_after_the_last_that_is_kept_and_nothing_does_while_it_is_held(
    born: date, signed: bool, pared: bool, rule: RetentionRule
) -> None:
    record = Record(born, date(2026, 6, 1), signed=signed, pared=pared)
    last = date(2026, 6, 1) + relativedelta(months=rule.child_months)
    if signed and rule.keep_waivers:
        last = max(last, born + relativedelta(years=rule.majority_age + rule.limitation_years + 1))

    assert what_goes(record, rule, last) in ("nothing", "notes")
    assert what_goes(record, rule, last + timedelta(days=1)) == "all"
    assert what_goes(replace(record, held=True), rule, last + timedelta(days=1)) == "nothing"


@given(st.dates(date(2008, 1, 1), date(2020, 1, 1)), st.integers(0, 9000), st.booleans())
def test_once_it_has_all_gone_nothing_comes_back_later(born: date, days: int, signed: bool) -> None:
    record = Record(born, date(2026, 6, 1), signed=signed)
    day = date(2026, 6, 1) + timedelta(days=days)
    if what_goes(record, RULE, day) == "all":
        assert what_goes(record, RULE, day + timedelta(days=400)) == "all"
    # 12,000 days are more than any waiver of the house is kept.
    assert what_goes(record, RULE, day + timedelta(days=12_000)) == "all"
