"""The kits' page: a trip is recorded with one choice, and the page stays as cheap with many kits."""

import pytest
from django.urls import reverse

from core import clock
from kits.models import KIT_AFTER, KIT_BEFORE, Kit, KitBooking


@pytest.fixture
def packed(make_clinic, make_center):
    def inner(name: str) -> Kit:
        clinic = make_clinic(days=3)
        kit = Kit.objects.create(name=name, now_at=make_center(latitude=41.5, longitude=-77.5))
        KitBooking.objects.create(
            kit=kit, clinic=clinic, period=(clinic.starts_at - KIT_BEFORE, clinic.ends_at + KIT_AFTER)
        )
        return kit

    return inner


def fields(page: str) -> dict[str, str]:
    """What a browser would send for the form of the page as it stands, with nothing touched."""
    page = page[page.index('id="goes"') :]  # past the buttons for one tap
    chosen = page[page.index('name="now_at"') :].split("</select>")[0]
    typed = page[page.index('name="with_whom"') :].split(">")[0]
    return {
        "now_at": chosen.split(" selected")[0].rsplit('value="', 1)[-1].split('"')[0] if " selected" in chosen else "",
        "with_whom": typed.split('value="')[1].split('"')[0] if 'value="' in typed else "",
    }


@pytest.mark.parametrize("then", ["center", "person"])
def test_choosing_the_new_place_is_enough_wherever_it_was(then, coordinator, signed_in, make_center):
    center, client = make_center("Quarry Lane Library"), signed_in(coordinator)
    was = {"with_whom": "Imara Venn"} if then == "center" else {"now_at": center}
    kit = Kit.objects.create(name="Bag 1", moved_at=clock.now(), **was)
    address = reverse("kit-move", args=[kit.pk])
    change = {"now_at": str(center.pk)} if then == "center" else {"with_whom": "Imara Venn"}

    answer = client.post(address, fields(client.get(address).content.decode()) | change)

    assert answer.status_code == 302
    kit.refresh_from_db()
    assert (kit.now_at, kit.with_whom) == ((center, "") if then == "center" else (None, "Imara Venn"))


def test_it_costs_the_same_however_many_kits(
    packed, floor_lead, signed_in, django_assert_max_num_queries, django_assert_num_queries
):
    client = signed_in(floor_lead)
    for number in range(3):
        packed(f"Bag {number}")
    with django_assert_max_num_queries(14) as few:
        client.get(reverse("kits"))
    for number in range(3, 30):
        packed(f"Bag {number}")
    with django_assert_num_queries(len(few)):
        client.get(reverse("kits"))


def test_how_far_a_kit_is_stands_beside_a_word_and_a_glyph(packed, coordinator, signed_in):
    kit = packed("Bag 1")
    there = kit.bookings.get().clinic.center
    there.latitude, there.longitude = 41.5, -77.6
    there.save()

    page = signed_in(coordinator).get(reverse("kits")).content.decode()

    # Haversine on 6371 km by hand: 2 r asin(cos 41.5 degrees x sin 0.05 degrees) = 8.3 km.
    assert "8 km in a straight line" in page
    assert "wrong location" in page and '<svg class="glyph"' in page


def test_a_stranger_signs_in_before_a_trip_is_recorded(packed, stranger):
    kit = packed("Bag 1")

    answer = stranger.post(reverse("kit-move", args=[kit.pk]), {"with_whom": "Somebody"})

    assert answer["Location"].startswith("/log-in/")
    kit.refresh_from_db()
    assert kit.with_whom == ""
