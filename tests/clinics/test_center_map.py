"""The map of centers: what is drawn, what is never drawn, and the same in words."""

import re

import pytest
from django.urls import reverse

from clinics.queries.map import centers_map


@pytest.fixture
def county(make_center, make_volunteer):
    hall = make_center("Saint Orla's Hall", latitude=41.497, longitude=-77.558)
    make_center("Quarry Lane Library", latitude=41.548, longitude=-77.492)
    make_center("Three Weirs Middle School")
    for number in range(3):
        make_volunteer(
            f"Secret Person {number}", home_area="quarry  lane" if number else "Quarry Lane",
            latitude=41.54613 + number / 1000, longitude=-77.49527,
        )  # fmt: skip
    make_volunteer("Secret Leaver", home_area="Quarry Lane", latitude=41.5, longitude=-77.5, left_on="2026-01-01")
    make_volunteer("Secret Street", home_area="12 Mill Road", latitude=41.52, longitude=-77.6)
    make_volunteer("Secret Nowhere", home_area="Mill Green")
    return hall


def test_areas_are_counted_and_nobody_is_named(county, coordinator, signed_in):
    text = signed_in(coordinator).get(reverse("center-map")).content.decode()

    assert text.count("quarry lane · 3 volunteers") == 2
    assert "Secret" not in text and "Mill Road" not in text
    assert "2 volunteers have no home area we can put on the map" in text
    assert "Three Weirs Middle School" in text and "#div_id_latitude" in text


def test_a_home_is_drawn_a_kilometer_about_and_no_finer(county):
    page = centers_map(None, with_people=True)

    assert [area.point for area in page.areas] == [(41.55, -77.5)]


def test_a_chosen_center_lists_all_others_by_distance(county, coordinator, signed_in):
    text = signed_in(coordinator).get(reverse("center-map"), {"center": county.pk}).content.decode()

    assert "Distances from Saint Orla&#x27;s Hall" in text
    # 7.9 km to the library by haversine, computed by hand from the points above.
    assert re.findall(r"<b>\s*([\d.]+) km\s*</b>", text) == ["7.6", "7.9"]
    assert text.count('class="ring"') > 4 and "2 km</text>" in text


def test_who_may_not_see_volunteers_sees_centers_only(county, floor_lead, signed_in):
    text = signed_in(floor_lead).get(reverse("center-map")).content.decode()

    assert "Quarry Lane Library" in text
    assert "volunteers</" not in text and "Home areas" not in text and "#div_id_latitude" not in text


@pytest.mark.parametrize("asked", ["", "x", "99999999", "-1", "²", "9" * 30, "1; drop"])
def test_a_center_that_is_none_shows_the_whole_map(county, coordinator, signed_in, asked):
    answer = signed_in(coordinator).get(reverse("center-map"), {"center": asked})

    assert answer.status_code == 200 and "Map of centers" in answer.content.decode()


def test_without_any_point_the_next_step_is_said(make_center, coordinator, signed_in):
    make_center("Saint Orla's Hall")

    text = signed_in(coordinator).get(reverse("center-map")).content.decode()

    assert "No centers are on the map yet" in text and '<svg class="map' not in text


def test_the_page_asks_nothing_of_another_site_and_has_no_inline_style(county, coordinator, signed_in):
    text = signed_in(coordinator).get(reverse("center-map"), {"center": county.pk}).content.decode()

    assert " style=" not in text and "<script" not in text.split("<main")[1]
    assert not re.findall(r'(?:src|href)="(?:https?:)?//', text)


def test_the_map_costs_the_same_however_many_places(county, make_center, make_volunteer, django_assert_num_queries):
    with django_assert_num_queries(2):
        centers_map(county.pk, with_people=True)
    for number in range(6):
        make_center(latitude=41.4 + number / 50, longitude=-77.4)
        make_volunteer(home_area=f"Area {'abcdef'[number]}", latitude=41.4, longitude=-77.4 - number / 50)
    with django_assert_num_queries(2):
        assert len(centers_map(county.pk, with_people=True).by_distance) == 14


def test_a_stranger_sees_no_map(stranger):
    assert stranger.get(reverse("center-map")).status_code == 302
