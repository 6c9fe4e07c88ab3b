"""What a phone may write down, and what is wrong with the rest."""

import pytest

from floor.rules.floor_log import check_action


def test_what_a_phone_can_not_mean_is_said_in_a_sentence() -> None:
    assert check_action("in", {"who": "c1"}) is None
    assert check_action("dance", {}) == "There is no action called 'dance'."
    assert check_action("out", {"who": "c1"}) == "An action 'out' needs collector."
    assert check_action("score", {"who": "c1", "what": "ladder", "made": 4, "tried": 3}) == "More made than tried."
    assert check_action("note", {"words": "x" * 3000}) == "words has more than 2000 letters."
    assert check_action("slot", {"slot": True}) == "An action 'slot' needs slot."
    assert check_action("slot", {}) == "An action 'slot' needs slot."
    assert check_action("x" * 41, {}) == f"There is no action called {'x' * 40!r}."


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
    ("kind", "facts", "sentence"),
    [
        ("hours", {"who": "v1", "minutes": -1}, "minutes is not between 0 and 10,000."),
        ("hours", {"who": "v1", "minutes": 10_001}, "minutes is not between 0 and 10,000."),
        ("note", {"words": "x" * 2001}, "words has more than 2000 letters."),
        (
            "incident",
            {"what": "w", "first_aid": "f", "told": "t", "witness": "w", "head": 1},
            "An action 'incident' needs head.",
        ),
    ],
)
def test_facts_beyond_their_limits_are_refused(kind: str, facts: dict[str, object], sentence: str) -> None:
    assert check_action(kind, facts) == sentence


WALK_IN = {"who": "w-1", "name": "Juno Reed", "born": "2017-05-31", "guardian": "Marla Reed", "phone": "", "signed": ""}


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({}, None),
        ({"born": "2000-01-01"}, None),
        ({"born": "1999-12-31"}, "The date of birth is too long ago for a child."),
        ({"born": "31 May"}, "The date of birth can't be read. Write it as year-month-day."),
        ({"who": "c7"}, "A child without a place needs a number that was made on the phone."),
    ],
)
def test_a_child_who_walks_in_is_written_with_a_number_and_a_day_of_birth(
    change: dict[str, str], sentence: str | None
) -> None:
    assert check_action("walk-in", WALK_IN | change) == sentence
