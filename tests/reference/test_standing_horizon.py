"""Standing against a slow oracle that fills in one day after another and shares no code with the rule."""

from collections.abc import Sequence
from datetime import date, timedelta
from random import Random

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st

from people.rules.standing import Clearance, PolicyRow, Standing, horizon, standing

DAY = timedelta(days=1)
FIRST = date(2024, 1, 1)
LAST_ISSUE = FIRST + timedelta(days=400)
END = date(2029, 1, 1)
# Five records of six months, each on the end of the one before, end before the oracle's last day.
LAST_ASKED = date(2027, 12, 31)
WORST_FIRST = ["refused", "missing", "expired", "awaiting", "expires soon", "current"]


def current_days(records: Sequence[Clearance], row: PolicyRow) -> set[date]:
    bad_days = {r.issued_on for r in records if r.state in ("refused", "withdrawn")}
    spells: list[tuple[date, set[date]]] = []
    for record in sorted((r for r in records if r.state == "clear"), key=lambda r: r.issued_on or END):
        issued = record.issued_on
        assert issued is not None
        count_from = issued
        if row.overlap:
            running = [max(days) for began, days in spells if began < issued and issued in days]
            count_from = max(running, default=issued)
        ends = [END]
        if row.months is not None:
            ends.append(count_from + relativedelta(months=row.months))
        if record.expires_on is not None:
            ends.append(record.expires_on)
        days = set()
        day = issued
        while day <= min(ends) and day not in bad_days:
            days.add(day)
            day += DAY
        spells.append((issued, days))
    return set().union(*(days for _, days in spells))


def state_by_day(records: Sequence[Clearance], row: PolicyRow) -> dict[date, str]:
    good = current_days(records, row)
    states = {}
    day = FIRST - DAY
    while day <= LAST_ASKED:
        states[day] = oracle_state(records, row, good, day)
        day += DAY
    return states


def oracle_state(records: Sequence[Clearance], row: PolicyRow, good: set[date], day: date) -> str:
    if day in good:
        ahead = (day + timedelta(days=n) for n in range(1, row.notice_days + 2))
        return "current" if all(later in good for later in ahead) else "expires soon"
    past = [r for r in records if r.issued_on is None or r.issued_on <= day]
    clear = [r.issued_on for r in past if r.state == "clear" and r.issued_on]

    def unanswered(kind_of_record: str) -> bool:
        return any(r.state == kind_of_record and not any(c > (r.issued_on or FIRST) for c in clear) for r in past)

    if unanswered("refused"):
        return "refused"
    if any(r.state == "awaiting" for r in past):
        return "awaiting"
    if not clear or unanswered("withdrawn"):
        return "missing"
    return "expired"


@st.composite
def record(draw: st.DrawFn) -> Clearance:
    kind = draw(st.sampled_from(["check", "training"]))
    state = draw(st.sampled_from(["clear", "clear", "clear", "clear", "refused", "withdrawn", "awaiting"]))
    issued = draw(st.dates(FIRST, LAST_ISSUE))
    if state == "awaiting":
        return Clearance(kind, state, draw(st.sampled_from([None, issued])))
    length = draw(st.sampled_from([None, None, 0, 1, 30, 200]))
    return Clearance(kind, state, issued, None if length is None else issued + timedelta(days=length))


def policy_row(kind: str) -> st.SearchStrategy[PolicyRow]:
    return st.builds(
        PolicyRow,
        duty=st.just("coach"),
        kind=st.just(kind),
        months=st.sampled_from([None, 1, 2, 6]),
        notice_days=st.sampled_from([0, 1, 14, 60]),
        overlap=st.booleans(),
    )


records_lists = st.lists(record(), max_size=5)
policies = st.tuples(policy_row("check"), policy_row("training")).map(list)


def states(answer: Standing) -> dict[str, str]:
    return {reason.kind: reason.state for reason in answer.reasons}


@pytest.mark.thorough
@settings(deadline=None, max_examples=120)
@given(records_lists, policies, st.lists(st.dates(FIRST, LAST_ASKED - DAY), min_size=5, max_size=25))
def test_standing_agrees_with_the_oracle_on_any_day(
    records: list[Clearance], policy: list[PolicyRow], days: list[date]
) -> None:
    by_kind = {row.kind: state_by_day([r for r in records if r.kind == row.kind], row) for row in policy}

    for day in days:
        answer = standing("coach", records, policy, day)

        expected = {kind: by_day[day] for kind, by_day in by_kind.items()}
        assert states(answer) == expected
        assert answer.state == min(expected.values(), key=WORST_FIRST.index)
        assert [WORST_FIRST.index(r.state) for r in answer.reasons] == sorted(
            WORST_FIRST.index(r.state) for r in answer.reasons
        )
        for kind, _, changes_on in answer.reasons:
            by_day = by_kind[kind]
            later = (d for d in sorted(by_day) if d > day and by_day[d] != by_day[day])
            expected_change = next(later, None)
            if expected_change is None:
                # The oracle stops looking after its last day.
                assert changes_on is None or changes_on > LAST_ASKED
            else:
                assert changes_on == expected_change


@settings(deadline=None, max_examples=120)
@given(records_lists, policies)
def test_ok_until_and_last_days_agree_with_the_oracle(records: list[Clearance], policy: list[PolicyRow]) -> None:
    good = {row.kind: current_days([r for r in records if r.kind == row.kind], row) for row in policy}

    for day in (FIRST + timedelta(days=n) for n in range(0, 900, 45)):
        answer = standing("coach", records, policy, day)
        expected_until = day
        if all(day in days for days in good.values()):
            while all(expected_until + DAY in days for days in good.values()):
                expected_until += DAY
            assert answer.ok
            assert answer.ok_until == (None if expected_until == END else expected_until)
        else:
            assert not answer.ok
            assert answer.ok_until is None
        for kind, days in good.items():
            if day not in days:
                assert answer.last_days[kind] == max((d for d in days if d < day), default=None)


@pytest.mark.thorough
@settings(deadline=None, max_examples=120)
@given(records_lists, policies, st.dates(FIRST, LAST_ASKED), st.integers(0, 800))
def test_standing_changes_on_the_days_that_horizon_lists_and_on_no_other(
    records: list[Clearance], policy: list[PolicyRow], start: date, length: int
) -> None:
    end = min(start + timedelta(days=length), LAST_ASKED)
    by_kind = {row.kind: state_by_day([r for r in records if r.kind == row.kind], row) for row in policy}
    expected = []
    day = start
    while day <= end:
        if any(by_day[day] != by_day[day - DAY] for by_day in by_kind.values()):
            expected.append(day)
        day += DAY

    listed = horizon("coach", records, policy, start, end)

    assert [day for day, _ in listed] == expected
    assert all(answer == standing("coach", records, policy, day) for day, answer in listed)


@settings(deadline=None)
@given(records_lists, policies, st.dates(FIRST, LAST_ASKED), st.randoms())
def test_the_order_of_records_and_rows_does_not_matter(
    records: list[Clearance], policy: list[PolicyRow], on: date, random: Random
) -> None:
    shuffled, rows = list(records), list(policy)
    random.shuffle(shuffled)
    random.shuffle(rows)

    assert standing("coach", shuffled, rows, on) == standing("coach", records, policy, on)
