"""Activities out of a table: what can be taken, and each reason why a row can't."""

import pytest

from core.rules.refused import Reason
from runsheets.rules.activities import ACTIVITIES
from runsheets.rules.activity_rows import read_activities

ROW = {"name": "Wall passes", "kind": "station", "least_minutes": "8", "most_minutes": "15", "group_size": "10"}
KINDS = ["opener", "station", "game", "stem", "water", "closer"]
THERE = {"knockout": {"name": "Whole-group knockout"}}


def reasons(**cells):
    found = read_activities([ROW | cells], THERE)
    assert not found.good
    return [(one.code, dict(one.facts)) for one in found.bad[0].reasons]


def codes(**cells):
    return [code for code, _facts in reasons(**cells)]


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
    assert reasons(code="nowhere") == [("unknown code", {"code": "nowhere"})]


def test_a_name_that_is_there_already_asks_for_its_code():
    assert reasons(name="whole-group KNOCKOUT") == [("name there", {"name": "whole-group KNOCKOUT"})]


def test_the_same_name_twice_in_one_table_names_the_first_line():
    found = read_activities([ROW, ROW | {"name": "WALL passes"}], {})

    assert [row.line for row in found.good] == [2]
    assert found.bad[0].reasons == [Reason("same line", {"line": 2})]


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"name": ""}, ("no name", {})),
        ({"kind": "juggling"}, ("no choice", {"column": "kind", "typed": "juggling", "choices": KINDS})),
        ({"least_minutes": "ten"}, ("not whole", {"column": "least_minutes", "typed": "ten"})),
        ({"least_minutes": ""}, ("not whole", {"column": "least_minutes", "typed": ""})),
        ({"hoops": "-1"}, ("not whole", {"column": "hoops", "typed": "-1"})),
        ({"group_size": "0"}, ("out of range", {"column": "group_size", "number": 0, "least": 1, "most": 400})),
        ({"oldest": "40"}, ("out of range", {"column": "oldest", "number": 40, "least": 0, "most": 18})),
        ({"kind": "opener", "least_minutes": "5", "most_minutes": "11"}, ("opener minutes", {})),
        ({"kind": "opener", "least_minutes": "4", "most_minutes": "8"}, ("opener minutes", {})),
        ({"record": "\x00"}, ("bad character", {"column": "record"})),
    ],
)
def test_every_reason_has_a_code_of_its_own(cells, reason):
    assert reasons(**cells) == [reason]


@pytest.mark.parametrize(
    ("cells", "code"),
    [
        ({"least_minutes": "16"}, "minutes"),
        ({"youngest": "12", "oldest": "9"}, "ages"),
        ({"cycle_seconds": "600"}, "long turn"),
    ],
)
def test_what_the_rule_refuses_is_refused_with_its_code(cells, code):
    assert codes(**cells) == [code]


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
    assert reasons(things="cone: 4 for all") == [("no ending", {"line": "cone: 4 for all"})]
