"""Balls, rims and heat against the published tables, row by row.

Sources: NBA and USA Basketball Youth Guidelines (20 March 2018), as restated by pr.nba.com; National Weather Service
heat index chart (srh.noaa.gov), which is the bare regression; the equation page of the Weather Prediction Center with
its adjustments, the adjusted values computed from it.
"""

import pytest

from clinics.rules.equipment import equipment_for
from clinics.rules.heat import heat_class, heat_index
from kits.rules.pack_list import PackLine, pack_list

CHART = {  # °F: from 40 % humidity in steps of 5
    104: (119, 124, 131, 137),
    100: (109, 114, 118, 124, 129, 136),
    96: (101, 104, 108, 112, 116, 121, 126, 132),
    92: (94, 96, 99, 101, 105, 108, 112, 116, 121, 126, 131),
    90: (91, 93, 95, 97, 100, 103, 106, 109, 113, 117, 122, 127, 132),
    86: (85, 87, 88, 89, 91, 93, 95, 97, 100, 102, 105, 108, 112),
    82: (81, 82, 83, 84, 84, 85, 86, 88, 89, 90, 91, 93, 95),
    80: (80, 80, 81, 81, 82, 82, 83, 84, 84, 85, 86, 86, 87),
}


@pytest.mark.parametrize("degrees", CHART)
def test_the_bare_regression_is_the_published_chart(degrees):
    for step, printed in enumerate(CHART[degrees]):
        assert abs(heat_index(degrees, 40 + 5 * step, adjusted=False) - printed) <= 0.51


@pytest.mark.parametrize(
    ("degrees", "humidity", "index"),
    [(90, 50, 94.60), (88, 60, 95.15), (96, 65, 121.03), (100, 40, 109.26), (70, 50, 69.53), (95, 10, 89.45),
     (80, 100, 89.29)],
)  # fmt: skip
def test_the_whole_method_with_its_adjustments(degrees, humidity, index):
    assert heat_index(degrees, humidity) == pytest.approx(index, abs=0.006)


@pytest.mark.parametrize(
    ("index", "word"),
    [(79, "no caution"), (80, "caution"), (90, "extreme caution"), (103, "danger"), (125, "extreme danger")],
)
def test_the_classes_begin_where_the_service_says(index, word):
    assert heat_class(index) == word


@pytest.mark.parametrize(("degrees", "humidity"), [(90, -1), (90, 101), (200, 50)])
def test_weather_that_cannot_be_is_refused(degrees, humidity):
    with pytest.raises(ValueError, match=r"must be from 0 to 100|Check the number"):
        heat_index(degrees, humidity)


@pytest.mark.parametrize(
    ("ages", "sizes", "rim"),
    [((7, 8), (5,), 8), ((9, 10, 11), (6,), 9), ((12, 13, 14, 15, 17), (6, 7), 10)],
)
def test_ball_and_rim_by_age_as_published(ages, sizes, rim):
    for age in ages:
        found = equipment_for(age)
        assert (found.ball_sizes, found.rim_ft, found.published) == (sizes, rim, True)


def test_under_seven_is_marked_as_common_practice():
    assert not equipment_for(5).published
    with pytest.raises(ValueError, match="isn't a child's age"):
        equipment_for(30)


def test_two_lines_of_one_thing_are_counted_together():
    """Somebody wrote "Cone" beside "cone": both are in the bag."""
    lines = {line.item: line for line in pack_list([(7, 8, 10)], False, {"cone": 4, "Cone": 11})}

    assert lines["cone"].have == 15 and lines["cone"].short == 0


def test_the_pack_list_names_what_is_short_and_what_else_is_there():
    lines = pack_list([(7, 8, 10), (9, 11, 10)], True, {"ball, size 5": 12, "cone": 4, "string": 2})

    assert lines == [
        PackLine("ball, size 5", 11, 12),
        PackLine("ball, size 6", 11, 0),
        PackLine("cone", 10, 4),
        PackLine("pinnie", 11, 0),
        PackLine("laptop", 10, 0),
        PackLine("first-aid pouch", 1, 0),
        PackLine("string", 0, 2),
    ]
    assert [line.short for line in lines] == [0, 11, 6, 11, 10, 1, 0]
    assert pack_list([], False, {}) == []
    with pytest.raises(ValueError, match="check the ages"):
        pack_list([(9, 7, 3)], False, {})
