"""Centers and their spaces: the pages, who may change them, and what wrong input meets."""

import pytest
from django.urls import reverse

from clinics.models import Center, Space


def details(**more):
    return {
        "name": "Quarry Lane Library",
        "time_zone": "America/New_York",
        "address": "3 Quarry Lane, Larkmoor",
        "arrival": "Ring at the staff door",
        "contact_name": "Ambrose Tully",
        "contact_email": "quarrylane@example.org",
        "active": "on",
    } | more


def floor(**more):
    return {"name": "Main floor", "hoops": 4, "capacity": 60, "sockets": 2, "indoors": "on", "active": "on"} | more


def test_a_center_and_its_space_are_added_and_can_be_booked(coordinator, signed_in):
    client = signed_in(coordinator)
    client.post(reverse("center-new"), details())
    center = Center.objects.get()

    answer = client.post(reverse("space-new", args=[center.pk]), floor(), follow=True)

    assert Space.objects.get().center == center
    assert f"/clinics/new/?center={center.pk}" in answer.content.decode()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"time_zone": "Mars/Olympus"}, "Select a valid choice"),
        ({"contact_email": "no"}, "valid email address"),
        ({"name": ""}, "This field is required"),
        ({"latitude": "12"}, "both latitude and longitude"),
        ({"latitude": "nan", "longitude": "1"}, "Enter a number"),
    ],
)
def test_a_center_that_cannot_be_is_refused_in_words(coordinator, signed_in, change, sentence):
    answer = signed_in(coordinator).post(reverse("center-new"), details(**change))

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not Center.objects.exists()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"capacity": 0}, "Enter how many people the space holds"),
        ({"hoops": -1}, "greater than or equal to 0"),
        ({"lowest_rim_ft": 10, "highest_rim_ft": 8}, "The highest rim is lower than the lowest"),
        ({"lowest_rim_ft": 30}, "less than or equal to 10"),
        ({"name": "Small floor"}, "already has a space with that name"),
    ],
)
def test_a_space_that_cannot_be_is_refused_in_words(coordinator, signed_in, make_space, change, sentence):
    center = make_space(name="Small floor").center

    answer = signed_in(coordinator).post(reverse("space-new", args=[center.pk]), floor(**change))

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert Space.objects.count() == 1


def test_a_floor_lead_sees_centers_and_changes_none(floor_lead, signed_in, make_space):
    space = make_space()
    client = signed_in(floor_lead)

    assert client.get(reverse("centers")).status_code == 200
    page = client.get(reverse("center", args=[space.center_id])).content.decode()
    assert "Book a clinic here" not in page and "Edit the center" not in page
    for name, pk in (("center-change", space.center_id), ("space-new", space.center_id), ("space-change", space.pk)):
        assert client.get(reverse(name, args=[pk])).status_code == 403


def test_the_list_costs_the_same_however_many_centers(
    coordinator, signed_in, make_clinic, django_assert_max_num_queries, django_assert_num_queries
):
    client = signed_in(coordinator)
    for _ in range(3):
        make_clinic()
    with django_assert_max_num_queries(12) as few:
        client.get(reverse("centers"))
    for _ in range(12):
        make_clinic()
    with django_assert_num_queries(len(few)):
        client.get(reverse("centers"))
