"""Activities out of a table: what can be taken, and each reason why a row can't."""

import pytest

from runsheets.rules.activities import ACTIVITIES
from runsheets.rules.activity_rows import read_activities

ROW = {"name": "Wall passes", "kind": "station", "least_minutes": "8", "most_minutes": "15", "group_size": "10"}
THERE = {"knockout": {"name": "Whole-group knockout"}}


def reasons(**cells):
    found = read_activities([ROW | cells], THERE)
    assert not found.good
    return found.bad[0].reasons


def test_a_short_row_takes_the_usual_numbers():
    row = read_activities([ROW], THERE).good[0]

    assert row.new
    assert (row.facts["adults"], row.facts["youngest"], row.facts["oldest"]) == (1, 5, 18)
    assert (row.facts["cycle_seconds"], row.facts["level"]) == (30, "all")


def test_points_stand_in_one_cell_with_a_bar_between_them():
    row = read_activities([ROW | {"safety": "Eyes up. | Balls to the wall."}], THERE).good[0]

    assert row.facts["safety"] == "Eyes up.\nBalls to the wall."


def test_the_code_of_what_is_there_changes_it_and_a_strange_one_is_told():
    assert not read_activities([ROW | {"code": "knockout"}], THERE).good[0].new
    assert reasons(code="nowhere") == ["no activity has the code “nowhere”: leave it empty to add one"]


def test_a_name_that_is_there_already_asks_for_its_code():
    assert reasons(name="whole-group KNOCKOUT") == [
        "there is an activity called whole-group KNOCKOUT already: give its code to change it"
    ]


def test_the_same_name_twice_in_one_table_names_the_first_line():
    found = read_activities([ROW, ROW | {"name": "WALL passes"}], {})

    assert [row.line for row in found.good] == [2]
    assert found.bad[0].reasons == ["the same stands on line 2"]


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"name": ""}, "name is empty"),
        ({"kind": "juggling"}, "kind “juggling”: write one of opener, station, game, stem, water, closer"),
        ({"least_minutes": "ten"}, "least_minutes “ten” is no whole number"),
        ({"least_minutes": ""}, "least_minutes “” is no whole number"),
        ({"hoops": "-1"}, "hoops “-1” is no whole number"),
        ({"group_size": "0"}, "group_size is 0: give 1 to 400"),
        ({"oldest": "40"}, "oldest is 40: give 0 to 18"),
        ({"kind": "opener", "least_minutes": "5", "most_minutes": "11"}, "an opener lasts 5 to 10 minutes"),
        ({"kind": "opener", "least_minutes": "4", "most_minutes": "8"}, "an opener lasts 5 to 10 minutes"),
        ({"record": "\x00"}, "record holds a character that is no text"),
    ],
)
def test_every_reason_is_a_sentence_of_its_own(cells, reason):
    assert reasons(**cells) == [reason]


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"least_minutes": "16"}, "can't last 16 to 15 minutes"),
        ({"youngest": "12", "oldest": "9"}, "can't be for ages 12 to 9"),
        ({"cycle_seconds": "600"}, "One turn of Wall passes is longer than its 8 minutes"),
    ],
)
def test_what_the_rule_refuses_is_refused_in_its_words(cells, words):
    assert words in reasons(**cells)[0]


def test_a_row_tells_all_that_is_wrong_with_it():
    assert len(reasons(kind="x", hoops="many", oldest="99")) == 3


def test_what_the_house_has_reads_back_as_it_is():
    rows = [
        {
            **{name: str(getattr(one, name)) for name in ROW},
            **{"cycle_seconds": str(one.cycle_seconds), "teaching": " | ".join(one.teaching)},
        }
        for one in ACTIVITIES.values()
    ]

    found = read_activities(rows, {})

    assert not found.bad
    assert [tuple(str(row.facts["teaching"]).split("\n")) for row in found.good] == [
        one.teaching for one in ACTIVITIES.values()
    ]


def test_things_stand_in_one_cell_and_a_strange_one_says_how_to_write_it():
    row = read_activities([ROW | {"things": "cone: 4 once | chalk: 1 per head"}], THERE).good[0]

    assert row.facts["things"] == "cone: 4 once\nchalk: 1 per head"
    assert reasons(things="cone: 4 for all") == [
        "“cone: 4 for all” doesn't say for whom. End it with “per head”, “per group” or “once”"
    ]
