"""What a volunteer's clearances amount to on a day."""

import itertools
from collections.abc import Callable
from datetime import date, datetime

import pytest

from people.rules.standing import Clearance, PolicyRow, horizon, rows_by_duty, standing

ON = date(2026, 6, 1)
POLICY = [PolicyRow("coach", "check", 24)]


def clear(issued_on: date, expires_on: date | None = None, kind: str = "check") -> Clearance:
    return Clearance(kind, "clear", issued_on, expires_on)


def state_of(records: list[Clearance], on: date = ON, policy: list[PolicyRow] = POLICY) -> str:
    return standing("coach", records, policy, on).state


def test_nothing_on_record_is_missing() -> None:
    answer = standing("coach", [], POLICY, ON)

    assert (answer.state, answer.ok, answer.ok_until) == ("missing", False, None)
    assert answer.reasons == [("check", "missing", None)]
    assert answer.last_days == {"check": None}


def test_a_duty_without_policy_rows_requires_nothing() -> None:
    answer = standing("door", [], POLICY, ON)

    assert (answer.state, answer.ok, answer.reasons, answer.last_days) == ("current", True, [], {})


def test_rows_of_other_duties_and_records_of_other_kinds_do_not_matter() -> None:
    policy = [*POLICY, PolicyRow("lead", "first aid", 24)]
    records = [clear(date(2026, 1, 1)), Clearance("first aid", "refused", date(2026, 1, 1))]

    assert state_of(records, policy=policy) == "current"


def test_the_worst_kind_decides_and_reasons_come_worst_first() -> None:
    kinds = ["current", "expires soon", "awaiting", "expired", "missing", "refused"]
    policy = [PolicyRow("coach", kind, None) for kind in kinds]
    records = [
        clear(date(2026, 1, 1), kind="current"),
        clear(date(2026, 1, 1), date(2026, 6, 2), kind="expires soon"),
        Clearance("awaiting", "awaiting", None),
        clear(date(2025, 1, 1), date(2026, 1, 1), kind="expired"),
        Clearance("refused", "refused", date(2026, 5, 1)),
    ]

    answer = standing("coach", records, policy, ON)

    assert answer.state == "refused"
    assert [reason.state for reason in answer.reasons] == [
        "refused", "missing", "expired", "awaiting", "expires soon", "current",
    ]  # fmt: skip
    assert all(reason.kind == reason.state for reason in answer.reasons)


def test_reasons_of_one_state_come_by_the_day_on_which_they_change_and_then_by_name() -> None:
    policy = [PolicyRow("coach", kind, None) for kind in ("never", "d", "c", "b", "a")]
    records = [
        clear(date(2026, 1, 1), kind="never"),
        clear(date(2026, 1, 1), date(2026, 6, 9), kind="d"),
        clear(date(2026, 1, 1), date(2026, 6, 20), kind="c"),
        clear(date(2026, 1, 1), date(2026, 6, 20), kind="b"),
        clear(date(2026, 1, 1), date(2026, 6, 10), kind="a"),
    ]

    answer = standing("coach", records, policy, ON)

    assert [(reason.kind, reason.changes_on) for reason in answer.reasons] == [
        ("d", date(2026, 6, 10)),
        ("a", date(2026, 6, 11)),
        ("b", date(2026, 6, 21)),
        ("c", date(2026, 6, 21)),
        ("never", None),
    ]
    missing = standing("coach", [clear(date(2026, 7, 1), kind="b")], policy, ON)
    assert [reason.kind for reason in missing.reasons] == ["b", "a", "c", "d", "never"]


@pytest.mark.parametrize(
    ("state", "ok"),
    [
        ("current", True),
        ("expires soon", True),
        ("awaiting", False),
        ("expired", False),
        ("missing", False),
        ("refused", False),
    ],
)
def test_who_is_current_or_expiring_may_stand_and_nobody_else(state: str, ok: bool) -> None:
    records = {
        "current": [clear(date(2026, 1, 1))],
        "expires soon": [clear(date(2026, 1, 1), date(2026, 6, 20))],
        "awaiting": [Clearance("check", "awaiting", None)],
        "expired": [clear(date(2020, 1, 1))],
        "missing": [],
        "refused": [Clearance("check", "refused", date(2026, 1, 1))],
    }

    answer = standing("coach", records[state], POLICY, ON)

    assert (answer.state, answer.ok) == (state, ok)
    assert answer.ok_until == {"current": date(2028, 1, 1), "expires soon": date(2026, 6, 20)}.get(state)


def test_ok_until_is_the_first_last_day_of_all_kinds_and_none_where_nothing_ends() -> None:
    policy = [PolicyRow("coach", kind, None) for kind in ("a", "b", "c")]
    records = [clear(date(2026, 1, 1), kind="a"), clear(date(2026, 1, 1), kind="b"), clear(ON, kind="c")]

    assert standing("coach", records, policy, ON).ok_until is None
    limited = [
        clear(date(2026, 1, 1), date(2027, 5, 1), "a"),
        clear(date(2026, 1, 1), date(2027, 4, 1), "b"),
        records[2],
    ]
    assert standing("coach", limited, policy, ON).ok_until == date(2027, 4, 1)


def test_the_earlier_of_the_printed_last_day_and_the_months_counts() -> None:
    assert standing("coach", [clear(date(2026, 1, 1), date(2026, 9, 1))], POLICY, ON).ok_until == date(2026, 9, 1)
    assert standing("coach", [clear(date(2026, 1, 1), date(2036, 9, 1))], POLICY, ON).ok_until == date(2028, 1, 1)


def test_a_record_issued_later_does_not_count_yet_but_tells_when_it_will() -> None:
    answer = standing("coach", [clear(date(2026, 6, 2))], POLICY, ON)

    assert answer.reasons == [("check", "missing", date(2026, 6, 2))]


def test_a_record_that_holds_for_its_own_day_alone_is_one() -> None:
    today = [clear(ON, ON)]

    assert [state_of(today, on) for on in (date(2026, 5, 31), ON, date(2026, 6, 2))] == [
        "missing",
        "expires soon",
        "expired",
    ]


def test_a_recorded_renewal_keeps_it_from_expiring() -> None:
    first = clear(date(2024, 6, 15))

    assert state_of([first]) == "expires soon"
    assert state_of([first, clear(date(2026, 5, 1))]) == "current"
    assert state_of([first, clear(date(2026, 6, 16))]) == "current"
    assert state_of([first, clear(date(2026, 6, 17))]) == "expires soon"


def test_notice_counts_the_days_to_the_last_day() -> None:
    policy = [PolicyRow("coach", "check", None, notice_days=10)]

    assert state_of([clear(date(2026, 1, 1), date(2026, 6, 12))], policy=policy) == "current"
    assert state_of([clear(date(2026, 1, 1), date(2026, 6, 11))], policy=policy) == "expires soon"


def test_an_expired_kind_tells_the_day_it_last_was_current() -> None:
    answer = standing("coach", [clear(date(2020, 1, 1)), clear(date(2023, 1, 1))], POLICY, ON)

    assert (answer.state, answer.last_days) == ("expired", {"check": date(2025, 1, 1)})


def test_renewing_early_loses_nothing_where_the_policy_lets_renewals_overlap() -> None:
    records = [clear(date(2025, 3, 10)), clear(date(2027, 2, 1))]
    overlapping = [PolicyRow("coach", "check", 24, overlap=True)]

    assert standing("coach", records, POLICY, ON).ok_until == date(2029, 2, 1)
    assert standing("coach", records, overlapping, ON).ok_until == date(2029, 3, 10)


def test_a_printed_last_day_caps_an_overlapping_renewal() -> None:
    records = [clear(date(2025, 3, 10)), clear(date(2027, 2, 1), date(2028, 12, 31))]

    answer = standing("coach", records, [PolicyRow("coach", "check", 24, overlap=True)], ON)

    assert answer.ok_until == date(2028, 12, 31)


def test_one_record_entered_twice_is_not_its_own_renewal() -> None:
    records = [clear(date(2025, 3, 10)), clear(date(2025, 3, 10))]

    answer = standing("coach", records, [PolicyRow("coach", "check", 24, overlap=True)], ON)

    assert answer.ok_until == date(2027, 3, 10)


def test_a_refusal_stands_until_a_later_clear_record() -> None:
    refused = Clearance("check", "refused", date(2026, 3, 1))

    assert state_of([clear(date(2026, 1, 1)), refused], date(2026, 2, 28)) == "expires soon"
    assert state_of([clear(date(2026, 1, 1)), refused], date(2026, 3, 1)) == "refused"
    assert state_of([clear(date(2026, 3, 1)), refused]) == "refused"
    assert state_of([clear(date(2026, 3, 2)), refused]) == "current"
    assert state_of([clear(date(2026, 3, 2), date(2026, 4, 1)), refused]) == "expired"


def test_a_withdrawal_leaves_the_kind_missing() -> None:
    records = [clear(date(2026, 1, 1)), Clearance("check", "withdrawn", date(2026, 3, 1))]

    answer = standing("coach", records, POLICY, ON)

    assert (answer.state, answer.last_days) == ("missing", {"check": date(2026, 2, 28)})


def test_a_withdrawal_does_not_hide_a_refusal() -> None:
    records = [
        Clearance("check", "refused", date(2026, 3, 1)),
        Clearance("check", "withdrawn", date(2026, 4, 1)),
    ]

    assert state_of(records) == "refused"


@pytest.mark.parametrize(("adverse", "state"), [("withdrawn", "missing"), ("refused", "refused")])
def test_the_latest_of_several_counts_in_whatever_order_they_were_recorded(adverse: str, state: str) -> None:
    before, after = (Clearance("check", adverse, day) for day in (date(2026, 1, 1), date(2026, 5, 1)))
    between = clear(date(2026, 3, 1), date(2026, 4, 1))

    for records in itertools.permutations([before, between, after]):
        assert state_of(list(records)) == state
        assert state_of(list(records), date(2026, 4, 2)) == "expired"


def test_a_result_awaited_from_a_day_to_come_changes_the_state_on_it() -> None:
    records = [Clearance("check", "awaiting", date(2026, 6, 10)), Clearance("check", "awaiting", date(2026, 6, 20))]

    for rows in (records, records[::-1]):
        assert standing("coach", rows, POLICY, ON).reasons == [("check", "missing", date(2026, 6, 10))]
        listed = horizon("coach", rows, POLICY, ON, date(2026, 12, 31))
        assert [(day, answer.state) for day, answer in listed] == [(date(2026, 6, 10), "awaiting")]


def test_an_awaited_result_stands_in_for_missing_and_expired_only() -> None:
    awaiting = Clearance("check", "awaiting", None)

    assert state_of([awaiting]) == "awaiting"
    assert state_of([awaiting, clear(date(2020, 1, 1))]) == "awaiting"
    assert state_of([awaiting, clear(date(2026, 1, 1))]) == "current"
    assert state_of([awaiting, Clearance("check", "refused", date(2026, 1, 1))]) == "refused"
    assert state_of([Clearance("check", "awaiting", date(2026, 6, 2))]) == "missing"


def test_a_last_day_at_the_end_of_the_calendar_never_expires() -> None:
    records = [clear(date(2026, 1, 1), date.max)]

    answer = standing("coach", records, [PolicyRow("coach", "check", None, notice_days=0)], date.max)

    assert answer.reasons == [("check", "expires soon", None)]
    assert state_of(records, policy=[PolicyRow("coach", "check", None, notice_days=10**7)]) == "expires soon"


def test_grouped_policy_rows_give_the_same_answer() -> None:
    policy = [*POLICY, PolicyRow("coach", "first aid", 24), PolicyRow("lead", "check", 12)]
    records = [clear(date(2025, 5, 1)), clear(date(2024, 7, 1), kind="first aid")]

    for duty in ("coach", "lead", "door"):
        assert standing(duty, records, rows_by_duty(policy), ON) == standing(duty, records, policy, ON)


def test_horizon_lists_each_change_with_the_standing_of_that_day() -> None:
    listed = horizon("coach", [clear(date(2025, 3, 10))], POLICY, date(2025, 1, 1), date(2030, 1, 1))

    assert [(day, answer.state) for day, answer in listed] == [
        (date(2025, 3, 10), "current"),
        (date(2027, 1, 9), "expires soon"),
        (date(2027, 3, 11), "expired"),
    ]


def test_horizon_of_all_days_there_are_does_not_run_off_the_calendar() -> None:
    assert [day for day, _ in horizon("coach", [clear(date.min)], POLICY, date.min, date.max)] == [
        date(2, 11, 2), date(3, 1, 2),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("build", "sentence"),
    [
        (lambda: Clearance("check", "fine", ON), "awaiting, clear, refused or withdrawn, not 'fine'"),
        (lambda: Clearance("check", "clear", None), "clear record of check needs the day it was issued"),
        (lambda: Clearance("check", "refused", None), "refused record of check needs the day"),
        (lambda: clear(ON, date(2026, 5, 31)), "expire on 2026-05-31, before its issue on 2026-06-01"),
        (lambda: PolicyRow("coach", "check", 0), "at least 1 month, not 0"),
        (lambda: PolicyRow("coach", "check", 24, notice_days=-1), "0 or more days of notice, not -1"),
        (lambda: rows_by_duty([*POLICY, *POLICY]), "names check twice for coach"),
        (lambda: standing("coach", [], POLICY, datetime(2026, 6, 1, 9)), "asked of a day, not of a moment"),
        (lambda: horizon("coach", [], POLICY, datetime(2026, 6, 1, 9), ON), "asked of a day, not of a moment"),
        (lambda: horizon("coach", [], POLICY, ON, datetime(2026, 6, 2, 9)), "asked of a day, not of a moment"),
        (lambda: horizon("coach", [], POLICY, ON, date(2026, 5, 31)), "before it starts on 2026-06-01"),
    ],
)
def test_facts_that_disagree_are_refused_with_a_sentence(build: Callable[[], object], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        build()
