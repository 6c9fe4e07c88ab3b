"""What a run sheet asks to be packed, worked out by hand.

Ball sizes: NBA and USA Basketball Youth Guidelines, 2018 (7 to 8 size 5, 9 to 11 size 6, from 12 sizes 6 and 7; under
7 size 3 is common practice). That balls are the most at the same time, and paper is used up, is arithmetic; no source.
"""

from kits.rules.pack_list import compare
from runsheets.rules.activities import Activity
from runsheets.rules.sheet_needs import SheetSlot, sheet_needs

OPENER = Activity(
    "open", "Opener", "opener", 5, 10, 20, hoops=1, balls=1, players=2, turns_at_once=4, things=("cone: 9 once",)
)
DRIBBLE = Activity("dribble", "Dribble", "station", 8, 12, 12, balls_each=1, things=("cone: 4 once",))
SCHEDULE = Activity(
    "ladder", "Ladder", "station", 8, 12, 12, hoops=1, balls=1, players=2, turns_at_once=3, things=("Cone: 4 once",)
)
PASSES = Activity("passes", "Passes", "station", 8, 12, 12, balls=1, players=2)
BRIDGES = Activity(
    "bridges", "Bridges", "stem", 8, 12, 12, tables=1,
    things=("sheet of paper: 3 per head", "score card: 1 per group", "coin: 60 once"),
)  # fmt: skip
WATER = Activity("water", "Water", "water", 2, 4, 400, things=("paper cup: 1 per head",))
ALL = (OPENER, DRIBBLE, SCHEDULE, PASSES, BRIDGES, WATER)
AGES = {"A": [7] * 7, "B": [9] * 6}


def slot(a, b, whole=False):
    return SheetSlot(whole, {"A": a, "B": b})


def test_balls_are_those_out_at_the_same_time_by_the_size_of_each_child():
    # Slot 1: A dribbles with 7 of size 5, B shoots with 3 of size 6. Slot 2: A shoots with 3, B dribbles with 6.
    needs = sheet_needs(ALL, [slot("dribble", "ladder"), slot("ladder", "dribble")], AGES, 4)

    assert (needs["ball, size 5"], needs["ball, size 6"]) == (7, 6)


def test_two_groups_at_one_station_share_its_balls_by_how_many_have_each_size():
    # Three balls for seven of size 5 and six of size 6: 21/13 is 1 and 8/13 over, 18/13 is 1 and 5/13 over.
    needs = sheet_needs(ALL, [slot("ladder", "ladder")], AGES, 4)

    assert {item: n for item, n in needs.items() if "ball" in item} == {"ball, size 5": 2, "ball, size 6": 1}


def test_the_whole_space_has_as_many_turns_as_hoops_and_no_more_than_children_make():
    # Two hoops with four turns each are 8 turns, and 13 children in pairs make 7.
    assert sum(n for item, n in sheet_needs(ALL, [slot("open", "open", True)], AGES, 2).items() if "ball" in item) == 7
    assert sum(n for item, n in sheet_needs(ALL, [slot("open", "open", True)], AGES, 1).items() if "ball" in item) == 4


def test_pairs_without_a_hoop_have_a_ball_each():
    # Seven children in pairs are four turns at once, six are three.
    needs = sheet_needs(ALL, [slot("passes", "waiting"), slot("waiting", "passes")], AGES, 4)

    assert needs == {"ball, size 5": 4, "ball, size 6": 3}


def test_what_stays_at_stations_adds_up_and_the_whole_space_shares_it_at_another_time():
    slots = [slot("open", "open", True), slot("dribble", "ladder"), slot("ladder", "dribble")]

    # Four at each of two stations, however the name is written; nine for the opener, which is over by then.
    assert sheet_needs(ALL, slots[1:], AGES, 4)["cone"] == 8
    assert sheet_needs(ALL, slots, AGES, 4)["cone"] == 9


def test_paper_is_used_up_by_every_child_and_coins_are_not():
    needs = sheet_needs(ALL, [slot("bridges", "dribble"), slot("dribble", "bridges")], AGES, 4)

    assert (needs["sheet of paper"], needs["score card"], needs["coin"]) == (3 * 13, 2, 60)


def test_whoever_drinks_again_uses_the_same_cup():
    needs = sheet_needs(ALL, [slot("water", "water", True)] * 3, AGES, 4)

    assert needs == {"paper cup": 13}


def test_a_station_that_nobody_comes_to_needs_nothing():
    assert sheet_needs(ALL, [slot("waiting", "waiting")], AGES, 4) == {}


def test_of_what_is_asked_a_head_and_what_the_sheet_needs_the_larger_is_packed():
    lines = compare({"cone": 15, "ball, size 6": 4}, {"Cone": 20}, {"CONE": 8, "ball, size 6": 6, "coin": 60})

    assert [(line.item, line.needed, line.have, line.sheet, line.more_for_sheet) for line in lines] == [
        ("cone", 15, 20, 8, False),
        ("ball, size 6", 6, 0, 6, True),
        ("coin", 60, 0, 60, True),
    ]
