"""Great-circle distances against published geodesics and exact arcs."""

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clinics.rules.distance import EARTH_RADIUS_KM, great_circle_km


def degrees(sign: int, whole: int, minutes: int, seconds: float) -> float:
    return sign * (whole + minutes / 60 + seconds / 3600)


FLINDERS_PEAK = (degrees(-1, 37, 57, 3.72030), degrees(1, 144, 25, 29.52440))
BUNINYONG = (degrees(-1, 37, 39, 10.15610), degrees(1, 143, 55, 35.38390))
JFK, LHR = (40.6, -73.8), (51.6, -0.5)
LANDS_END, JOHN_O_GROATS = (50.06632, -5.71475), (58.64402, -3.07009)

# (from, to, km on the sphere of 6371 km, km on the ellipsoid). The spherical figures are computed from the haversine
# formula by other means; the ellipsoidal ones are published, so the rule must come within 0.6 % of them.
PAIRS = [
    # Geoscience Australia's worked line, seen in test files that cite it: 54 972.271 m.
    pytest.param(FLINDERS_PEAK, BUNINYONG, 54.925432, 54.972271, id="Flinders Peak to Buninyong"),
    # GeographicLib's worked example, seen: 5 551 759.400319 m.
    pytest.param(JFK, LHR, 5536.884339, 5551.759400319, id="JFK to LHR"),
    # Movable Type's worked example, seen: 969 954.166 m.
    pytest.param(LANDS_END, JOHN_O_GROATS, 968.874704, 969.954166, id="Land's End to John o' Groats"),
]

latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)


@pytest.mark.parametrize(("start", "end", "on_sphere", "on_ellipsoid"), PAIRS)
def test_a_published_line_has_its_length(
    start: tuple[float, float], end: tuple[float, float], on_sphere: float, on_ellipsoid: float
) -> None:
    km = great_circle_km(*start, *end)

    assert km == pytest.approx(on_sphere, abs=1e-6)
    assert km == pytest.approx(on_ellipsoid, rel=0.006)


def test_one_degree_of_latitude_is_the_arc_of_one_degree() -> None:
    # 6371 pi / 180, computed: 111.194927 km.
    assert great_circle_km(10, 20, 11, 20) == pytest.approx(111.194927, abs=1e-6)


def test_one_degree_of_longitude_at_sixty_north_is_a_little_less_than_half() -> None:
    # Computed: 55.596934 km, where half of a degree of latitude is 55.597463.
    assert great_circle_km(60, 5, 60, 6) == pytest.approx(55.596934, abs=1e-6)


@pytest.mark.parametrize("place", [(0.0, 0.0, 0.0, 180.0), (90.0, 0.0, -90.0, 77.0), (37.2, 11.0, -37.2, -169.0)])
def test_opposite_places_are_half_the_way_round(place: tuple[float, float, float, float]) -> None:
    assert great_circle_km(*place) == pytest.approx(pi * EARTH_RADIUS_KM, abs=1e-3)


def test_nearly_opposite_places_come_within_the_stated_error() -> None:
    # Published for (0, 0) to (0.5, 179.5), seen: 19 936 288.579 m.
    assert great_circle_km(0, 0, 0.5, 179.5) == pytest.approx(19_936.288579, rel=0.006)


def test_the_date_line_is_no_distance() -> None:
    assert great_circle_km(12, 180, 12, -180) == pytest.approx(0, abs=1e-9)


@settings(deadline=None, max_examples=300)
@given(latitudes, longitudes, latitudes, longitudes)
def test_distance_is_the_same_both_ways_and_never_more_than_half_round(
    lat1: float, lon1: float, lat2: float, lon2: float
) -> None:
    there, back = great_circle_km(lat1, lon1, lat2, lon2), great_circle_km(lat2, lon2, lat1, lon1)

    assert there == pytest.approx(back, abs=1e-9)
    assert 0 <= there <= pi * EARTH_RADIUS_KM + 1e-9


@pytest.mark.parametrize(
    ("place", "sentence"),
    [
        ((90.01, 0, 0, 0), "latitude must be from -90 to 90 degrees, not 90.01"),
        ((0, -180.5, 0, 0), "longitude must be from -180 to 180 degrees, not -180.5"),
        ((0, 0, -91, 0), "latitude"),
        ((0, 0, 0, 999), "longitude"),
        ((float("nan"), 0, 0, 0), "not nan"),
        ((0, float("inf"), 0, 0), "not inf"),
    ],
)
def test_a_point_off_the_earth_is_refused_with_a_sentence(
    place: tuple[float, float, float, float], sentence: str
) -> None:
    with pytest.raises(ValueError, match=sentence):
        great_circle_km(*place)
