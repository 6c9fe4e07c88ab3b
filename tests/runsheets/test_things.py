"""What an activity needs packed, read from lines."""

import pytest

from core.rules.refused import Reason, Refused
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
    ("line", "code"),
    [
        ("chalk", "no amount"),
        (": 3 once", "no amount"),
        ("cone: 3", "no ending"),
        ("cone: 3 each", "no ending"),
        ("cone: 0 once", "no number"),
        ("cone: -1 once", "no number"),
        ("cone: 1000 per head", "no number"),
        ("cone: ٣ once", "no number"),
        ("cone: two per head", "no number"),
        (f"{'c' * 61}: 1 once", "long name"),
    ],
)
def test_a_line_that_can_t_be_packed_says_what_is_wrong(line, code):
    with pytest.raises(Refused) as problem:
        parse_thing(line)
    assert problem.value.codes == {code}


def test_every_wrong_line_is_named_and_so_is_a_thing_that_is_listed_twice():
    with pytest.raises(Refused) as problem:
        parse_things(["chalk", "Cone: 1 once", "", "cone: 2 once"])
    assert problem.value.reasons == (
        Reason("no amount", {"line": "chalk"}),
        Reason("listed twice", {"name": "cone"}),
    )


def test_every_part_of_the_house_that_needs_more_than_a_floor_says_what():
    assert {code for code, one in ACTIVITIES.items() if one.kind == "stem" and not one.packed} == set()
