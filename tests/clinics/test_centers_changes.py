"""Changing a center that clinics count on, and two people saving the same at once."""

import pytest
from django.urls import reverse

from clinics.models import Center, Clinic, Space, Status
from tests.meanwhile import meanwhile


def details(center, **more):
    return {
        "name": center.name,
        "time_zone": center.time_zone,
        "address": center.address,
        "contact_name": center.contact_name,
        "contact_email": center.contact_email,
        "active": "on",
    } | more


def test_another_time_zone_never_moves_a_clinic_to_another_hour_unseen(coordinator, signed_in, make_clinic):
    clinic = make_clinic()

    answer = signed_in(coordinator).post(
        reverse("center-change", args=[clinic.center_id]), details(clinic.center, time_zone="America/Los_Angeles")
    )

    text = answer.content.decode()
    assert answer.status_code == 422 and "1 upcoming clinic uses America/New_York" in text
    assert Clinic.objects.get().local_start == clinic.local_start


def test_other_facts_change_while_clinics_are_ahead(coordinator, signed_in, make_clinic):
    center = make_clinic().center

    signed_in(coordinator).post(reverse("center-change", args=[center.pk]), details(center, address="9 Weir Street"))

    center.refresh_from_db()
    assert center.address == "9 Weir Street"


@pytest.mark.parametrize("more", [{"days": -10}, {"status": Status.CANCELLED}])
def test_what_is_over_or_cancelled_holds_no_time_zone(more, coordinator, signed_in, make_clinic):
    center = make_clinic(**more).center

    signed_in(coordinator).post(
        reverse("center-change", args=[center.pk]), details(center, time_zone="America/Chicago")
    )

    center.refresh_from_db()
    assert center.time_zone == "America/Chicago"


@pytest.mark.django_db(transaction=True)
def test_two_who_add_the_same_center_at_once_get_one_and_a_sentence(coordinator, signed_in):
    facts = {
        "name": "Quarry Lane Library",
        "time_zone": "America/New_York",
        "address": "3 Quarry Lane, Larkmoor",
        "contact_name": "Ambrose Tully",
        "contact_email": "quarrylane@example.org",
    }

    with meanwhile(lambda: Center.objects.create(**facts)):
        answer = signed_in(coordinator).post(reverse("center-new"), facts)

    assert answer.status_code == 422 and "already exists" in answer.content.decode()
    assert Center.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_two_who_add_the_same_space_at_once_get_one_and_a_sentence(coordinator, signed_in, make_center):
    center = make_center()
    facts = {"name": "Main floor", "hoops": 4, "capacity": 60, "sockets": 2}

    with meanwhile(lambda: Space.objects.create(center=center, **facts)):
        answer = signed_in(coordinator).post(reverse("space-new", args=[center.pk]), facts)

    assert answer.status_code == 422 and "already has a space with that name" in answer.content.decode()
    assert Space.objects.count() == 1


def test_a_stranger_signs_in_first(stranger, make_space):
    space = make_space()

    for name, arguments in (
        ("centers", []),
        ("center-new", []),
        ("center", [space.center_id]),
        ("center-change", [space.center_id]),
        ("space-new", [space.center_id]),
        ("space-change", [space.pk]),
    ):
        for answer in (stranger.get(reverse(name, args=arguments)), stranger.post(reverse(name, args=arguments))):
            assert answer.status_code == 405 or answer["Location"].startswith("/log-in/"), name


def test_one_center_costs_the_same_however_many_spaces_and_clinics(
    coordinator, signed_in, make_space, make_clinic, django_assert_max_num_queries, django_assert_num_queries
):
    first = make_space()
    client, address = signed_in(coordinator), reverse("center", args=[first.center_id])
    make_clinic(first)
    with django_assert_max_num_queries(12) as few:
        client.get(address)
    for days in range(11, 26):
        make_clinic(make_space(first.center), days=days)
    with django_assert_num_queries(len(few)):
        client.get(address)
