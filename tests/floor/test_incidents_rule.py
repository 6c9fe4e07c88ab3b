"""What the rules say of an incident: its sort, what is left to do, whether a child may play."""

from datetime import date, timedelta

import pytest

from floor.rules.incidents import (
    CLEARED,
    HEAD,
    NOT_HEAD,
    OUTCOMES,
    SORTS,
    WONT_RETURN,
    FollowUpFacts,
    left_to_do,
    may_play,
    sort_of,
    wrong_in,
)

DAY = date(2026, 11, 21)
TODAY = DAY + timedelta(days=7)
NOTE = FollowUpFacts(outcome=CLEARED, provider="Ada Fenn", cleared_on=DAY, seen="Note")


def codes(sort: str, facts: FollowUpFacts) -> list[str]:
    return [one.code for one in wrong_in(sort, facts, happened_on=DAY, today=TODAY)]


@pytest.mark.parametrize(
    ("facts", "sort"),
    [
        ({"head": True}, "head"),
        ({"head": False}, "other"),
        ({"head": False, "sort": "allergy"}, "allergy"),
        ({"head": True, "sort": "allergy"}, "head"),
        ({"head": False, "sort": "of a later page"}, "other"),
    ],
)
def test_a_hit_to_the_head_wins_and_an_unknown_sort_is_something_else(facts: dict[str, object], sort: str) -> None:
    assert sort_of(facts) == sort


@pytest.mark.parametrize("sort", SORTS)
def test_nothing_is_left_only_when_the_guardian_knows_and_a_head_has_its_answer(sort: str) -> None:
    wanted = {"other": (), HEAD: ("tell", "clearance")}.get(sort, ("tell",))
    assert left_to_do(sort, told=False, outcome="") == wanted
    assert left_to_do(sort, told=True, outcome="") == (("clearance",) if sort == HEAD else ())
    for outcome in OUTCOMES:
        assert left_to_do(HEAD, told=True, outcome=outcome) == ()
        assert left_to_do(HEAD, told=False, outcome=outcome) == ("tell",)


def test_only_a_providers_word_lets_a_child_play() -> None:
    assert [may_play(HEAD, outcome) for outcome in ("", WONT_RETURN, CLEARED, NOT_HEAD)] == [False, False, True, True]
    assert may_play("seizure", "")


def test_the_first_and_the_last_day_that_count() -> None:
    for day, told, cleared in (
        (DAY - timedelta(days=1), ["told before"], ["cleared before"]),
        (DAY, [], []),
        (TODAY, [], []),
        (TODAY + timedelta(days=1), ["told later"], ["cleared later"]),
    ):
        assert codes("seizure", FollowUpFacts(told_on=day, told_by="Oswin")) == told
        facts = FollowUpFacts(outcome=CLEARED, provider="Ada Fenn", cleared_on=day, seen="Note")
        assert codes(HEAD, facts) == cleared


def test_each_thing_that_is_missing_is_named_and_all_at_once() -> None:
    assert codes(HEAD, FollowUpFacts()) == [] and codes(HEAD, NOTE) == []
    assert codes(HEAD, FollowUpFacts(told_on=DAY)) == ["nobody named"]
    assert codes(HEAD, FollowUpFacts(told_by="Oswin")) == ["no time"]
    assert codes(HEAD, FollowUpFacts(outcome=CLEARED)) == ["no provider", "no day", "nothing seen"]
    assert codes(HEAD, FollowUpFacts(outcome=NOT_HEAD)) == ["no provider", "no reason"]
    assert codes(HEAD, FollowUpFacts(outcome=WONT_RETURN)) == ["no reason"]
    assert codes(HEAD, FollowUpFacts(outcome="maybe")) == ["unknown outcome"]
    assert codes("seizure", NOTE) == ["not a head injury"]
    assert codes(HEAD, FollowUpFacts(told_on=DAY, outcome=CLEARED, provider="Ada Fenn", seen="Note")) == [
        "nobody named",
        "no day",
    ]
