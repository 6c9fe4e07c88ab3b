"""The map's scale against great circles and a published geodesic; its labels and rings by their own promises."""

from itertools import pairwise
from math import hypot

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from clinics.rules.distance import great_circle_km
from clinics.rules.map_plan import (
    HALF_MARK,
    Location,
    MapPlan,
    Mark,
    _label_box,
    _outside,
    _shared,
    area_point,
    nice_km,
    plan_map,
    ring_distances,
    ring_word,
)

# Geoscience Australia's worked line, as in test_distance.py: 54 972.271 m on the ellipsoid.
FLINDERS_PEAK = Location("1", "Flinders Peak", -37.951033, 144.424868)
BUNINYONG = Location("2", "Buninyong", -37.652821, 143.926496)


def km_between(plan: MapPlan, one: Mark, other: Mark) -> float:
    return hypot(one.x - other.x, one.y - other.y) / plan.units_per_km


def test_a_published_line_has_its_length_on_the_drawing():
    plan = plan_map([FLINDERS_PEAK, BUNINYONG], width=5000, most_height=5000)

    assert km_between(plan, *plan.marks) == pytest.approx(54.972271, rel=0.006)


def test_the_bar_is_as_long_as_it_says():
    """Two places on one parallel, apart by what the bar says: 10 km at 41.5 north, longitude computed by haversine."""
    plan = plan_map([Location("1", "", 41.5, -77.6), Location("2", "", 41.5, -77.3)])
    step = 0.3 * plan.bar_km / great_circle_km(41.5, -77.6, 41.5, -77.3)
    assert great_circle_km(41.5, -77.6, 41.5, -77.6 + step) == pytest.approx(plan.bar_km, rel=1e-4)

    drawn = plan_map(
        [Location("1", "", 41.5, -77.6), Location("2", "", 41.5, -77.3), Location("3", "", 41.5, -77.6 + step)]
    )

    assert drawn.mark("3").x - drawn.mark("1").x == pytest.approx(plan.bar_units, abs=0.3)


county = st.floats(-0.25, 0.25)


@settings(deadline=None, max_examples=200)
@given(st.floats(-60, 60), st.floats(-180, 180), st.lists(st.tuples(county, county), min_size=3, max_size=6))
def test_over_a_county_every_distance_is_within_one_percent(latitude, longitude, offsets):
    locations = [
        Location(str(number), "", latitude + north, (longitude + east + 540) % 360 - 180)
        for number, (north, east) in enumerate(offsets)
    ]
    plan = plan_map(locations, width=5000, most_height=5000)

    for one, other in pairwise(locations):
        true = great_circle_km(one.latitude, one.longitude, other.latitude, other.longitude)
        assume(true > 0.5)
        # 0.15 units of rounding at either end.
        tolerance = true * 0.01 + 0.3 / plan.units_per_km
        assert abs(km_between(plan, plan.mark(one.key), plan.mark(other.key)) - true) <= tolerance


def test_north_is_up_and_east_is_right():
    plan = plan_map([Location("south-west", "", 41.4, -77.6), Location("north-east", "", 41.6, -77.4)])
    low, high = plan.marks

    assert high.y < low.y and high.x > low.x


def test_the_line_where_the_date_changes_tears_nothing_apart():
    plan = plan_map([Location("1", "", -17.0, 179.95), Location("2", "", -17.0, -179.95)])

    assert km_between(plan, *plan.marks) == pytest.approx(great_circle_km(-17, 179.95, -17, -179.95), rel=0.001)
    assert plan.mark("2").x > plan.mark("1").x


@settings(deadline=None, max_examples=100)
@given(st.lists(st.tuples(county, county), min_size=1, max_size=12))
def test_every_mark_is_on_the_sheet(offsets):
    locations = [
        Location(str(n), "A place of some name", 41.5 + north, -77.5 + east) for n, (north, east) in enumerate(offsets)
    ]
    plan = plan_map(locations)

    assert plan.width == 680 and 0 < plan.height <= 620.1
    assert all(0 <= mark.x <= plan.width and 0 <= mark.y <= plan.height for mark in plan.marks)


def scattered(count: int) -> list[Location]:
    """Places on a spiral, not too near to each other, so that labels without overlap exist."""
    return [
        Location(str(n), f"Meadow {n} Community House", 41.5 + 0.02 * n * (-1) ** n, -77.5 + 0.024 * ((n * 7) % 11))
        for n in range(count)
    ]


def test_labels_of_scattered_places_cover_nothing():
    plan = plan_map(scattered(10))
    boxes = [_label_box(mark) for mark in plan.marks]
    marks = [(m.x - HALF_MARK, m.y - HALF_MARK, m.x + HALF_MARK, m.y + HALF_MARK) for m in plan.marks]

    for number, box in enumerate(boxes):
        assert _outside(box, plan.width, plan.height) == 0
        assert not any(_shared(box, other) for other in boxes[number + 1 :])
        assert not any(_shared(box, mark) for other, mark in enumerate(marks) if other != number)


def test_a_loose_mark_steps_aside_and_a_fixed_one_never():
    locations = [
        Location("1", "", 41.5, -77.5),
        Location("A", "", 41.5, -77.5, loose=True),
        Location("2", "", 41.6, -77.6),
    ]
    plan = plan_map(locations)
    alone = plan_map([locations[0], locations[2]])

    assert (plan.mark("1").x, plan.mark("1").y) == (alone.mark("1").x, alone.mark("1").y)
    apart = hypot(plan.mark("A").x - plan.mark("1").x, plan.mark("A").y - plan.mark("1").y)
    assert 2 * HALF_MARK < apart < 3 * HALF_MARK


def test_the_same_places_are_drawn_the_same():
    assert plan_map(scattered(9)) == plan_map(scattered(9))


@pytest.mark.parametrize(("most", "nice"), [(1, 1), (1.9, 1), (2, 2), (7, 5), (49, 20), (0.3, 0.2), (1000, 1000)])
def test_a_bar_has_a_length_one_can_count_with(most, nice):
    assert nice_km(most) == pytest.approx(nice)


@pytest.mark.parametrize(
    ("farthest", "rings"),
    [(11.8, [2, 4, 6, 8, 10]), (3.2, [1, 2, 3]), (100, [20, 40, 60, 80, 100]), (0.0, [0.1, 0.2, 0.3, 0.4, 0.5])],
)
def test_rings_are_evenly_apart_and_end_before_the_farthest_place(farthest, rings):
    assert ring_distances(farthest) == pytest.approx(rings)


def test_a_rings_word_is_on_the_sheet_or_nowhere():
    plan = plan_map(scattered(8))
    middle = plan.marks[0]
    place = ring_word(plan, middle.x, middle.y, 60, "2 km")

    assert place is not None and hypot(place[0] - middle.x, place[1] - middle.y) == pytest.approx(60, abs=0.2)
    assert ring_word(plan, middle.x, middle.y, 5000, "99 km") is None


def test_an_area_is_drawn_to_a_hundredth_of_a_degree():
    assert area_point([(41.49961, -77.55249)]) == (41.5, -77.55)
    assert area_point([(41.49, -77.55), (41.52, -77.56)]) == pytest.approx((41.51, -77.56), abs=0.0101)
    assert area_point([(-17.0, 179.99), (-17.0, -179.97)])[1] == -179.99


def test_a_hundredth_of_a_degree_hides_a_home_within_a_kilometer():
    """The cell that a drawn point stands for: over 1 km from north to south, and 0.8 km across at 41.5 north."""
    assert great_circle_km(41.495, -77.55, 41.505, -77.55) > 1
    assert great_circle_km(41.5, -77.555, 41.5, -77.545) > 0.8


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: plan_map([]), "no place to draw"),
        (lambda: plan_map([Location("7", "", 91, 0)]), "7 is not on the earth"),
        (lambda: plan_map([Location("7", "", float("nan"), 0)]), "7 is not on the earth"),
        (lambda: nice_km(0), "more than nothing"),
        (lambda: area_point([]), "no home"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
