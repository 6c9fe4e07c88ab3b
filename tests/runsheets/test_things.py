"""What an activity needs packed, read from lines."""

import pytest

from runsheets.rules.activities import ACTIVITIES, Thing, parse_thing, parse_things


@pytest.mark.parametrize(
    ("line", "thing"),
    [
        ("cone: 6 once", Thing("cone", 6, "once")),
        ("  score   card :1  PER group ", Thing("score card", 1, "group")),
        ("cell: 1.5 volts: 2 per head", Thing("cell: 1.5 volts", 2, "head")),
        ("pea: 999 per head", Thing("pea", 999, "head")),
    ],
)
def test_a_line_names_a_thing_how_many_and_for_whom(line, thing):
    assert parse_thing(line) == thing
    assert parse_thing(thing.words) == thing


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("chalk", "“chalk” names no amount"),
        (": 3 once", "names no amount"),
        ("cone: 3", "doesn't say for whom"),
        ("cone: 3 each", "doesn't say for whom"),
        ("cone: 0 once", "Give a whole number, 1 to 999"),
        ("cone: -1 once", "Give a whole number"),
        ("cone: 1000 per head", "Give a whole number"),
        ("cone: ٣ once", "Give a whole number"),
        ("cone: two per head", "Give a whole number"),
        (f"{'c' * 61}: 1 once", "longer than 60 characters"),
    ],
)
def test_a_line_that_can_t_be_packed_says_how_to_write_it(line, words):
    with pytest.raises(ValueError, match=words):
        parse_thing(line)


def test_every_wrong_line_is_named_and_so_is_a_thing_that_stands_there_twice():
    with pytest.raises(ValueError, match="“chalk” names no amount") as problem:
        parse_things(["chalk", "Cone: 1 once", "", "cone: 2 once"])
    assert "cone stands there twice" in str(problem.value)


def test_every_part_of_the_house_that_needs_more_than_a_floor_says_what():
    assert {code for code, one in ACTIVITIES.items() if one.kind == "stem" and not one.packed} == set()
