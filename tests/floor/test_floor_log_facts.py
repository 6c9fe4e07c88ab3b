"""What a phone may write down, and what is wrong with the rest."""

import pytest

from floor.rules.entries import Trouble, check_action
from floor.words import entry_trouble


def test_what_a_phone_can_not_mean_is_named() -> None:
    assert check_action("in", {"who": "c1"}) is None
    assert check_action("dance", {}) == Trouble("unknown kind", "dance")
    assert check_action("out", {"who": "c1"}) == Trouble("missing", "out", "pickup")
    assert check_action("score", {"who": "c1", "what": "ladder", "made": 4, "tried": 3}) == Trouble(
        "more made than tried", "score"
    )
    assert check_action("note", {"words": "x" * 3000}) == Trouble("too long", "note", "words")
    assert check_action("slot", {"slot": True}) == Trouble("missing", "slot", "slot")
    assert check_action("slot", {}) == Trouble("missing", "slot", "slot")
    assert check_action("x" * 41, {}) == Trouble("unknown kind", "x" * 40)


@pytest.mark.parametrize(
    ("kind", "facts"),
    [
        ("hours", {"who": "v1", "minutes": 0}),
        ("hours", {"who": "v1", "minutes": 10_000}),
        ("score", {"who": "c1", "what": "ladder", "made": 3, "tried": 3}),
        ("note", {"words": "x" * 2000}),
        ("incident", {"what": "w", "first_aid": "f", "told": "t", "witness": "w", "head": True}),
        ("close", {}),
    ],
)
def test_facts_at_their_limits_are_taken(kind: str, facts: dict[str, object]) -> None:
    assert check_action(kind, facts) is None


@pytest.mark.parametrize(
    ("kind", "facts", "code"),
    [
        ("hours", {"who": "v1", "minutes": -1}, "out of range"),
        ("hours", {"who": "v1", "minutes": 10_001}, "out of range"),
        ("note", {"words": "x" * 2001}, "too long"),
        (
            "incident",
            {"what": "w", "first_aid": "f", "told": "t", "witness": "w", "head": 1},
            "missing",
        ),
    ],
)
def test_facts_beyond_their_limits_are_refused(kind: str, facts: dict[str, object], code: str) -> None:
    trouble = check_action(kind, facts)

    assert trouble is not None and trouble.code == code


WALK_IN = {"who": "w-1", "name": "Juno Reed", "born": "2017-05-31", "guardian": "Marla Reed", "phone": "", "signed": ""}


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({}, None),
        ({"born": "2000-01-01"}, None),
        ({"born": "1999-12-31"}, "too old"),
        ({"born": "31 May"}, "unreadable birth date"),
        ({"who": "c7"}, "no phone number of its own"),
    ],
)
def test_a_child_who_walks_in_is_written_with_a_number_and_a_day_of_birth(
    change: dict[str, str], code: str | None
) -> None:
    trouble = check_action("walk-in", WALK_IN | change)

    assert (trouble and trouble.code) == code


def test_each_trouble_has_a_sentence_with_its_fact_in_it() -> None:
    assert entry_trouble(Trouble("too long", "note", "words")) == "words is over 2,000 characters. Shorten it."
    assert "dance" in entry_trouble(Trouble("unknown kind", "dance"))
    assert "no ID from the phone" in entry_trouble(Trouble("no phone number of its own", "walk-in"))
