"""What the phone is told of the room that a clinic has: its ages with their spots, and the fire limit of its space."""

import pytest

from clinics.models import AgeBand, Space
from floor.queries.page import day_data
from scheduling.models import Booking

pytestmark = pytest.mark.django_db


def test_the_phone_knows_the_ages_their_spots_and_the_fire_limit(floor, now):
    AgeBand.objects.create(clinic=floor.clinic, youngest=12, oldest=14, children=6)
    Space.objects.filter(center=floor.clinic.center).update(name="Main gym", capacity=45)
    day = day_data(floor.phone, now)

    assert day["bands"] == [[7, 10, 16], [12, 14, 6]]
    assert (day["space"], day["capacity"]) == ("Main gym", 45)


def test_without_a_space_that_is_booked_there_is_no_limit_to_know(floor, now):
    Booking.objects.filter(clinic=floor.clinic).delete()
    day = day_data(floor.phone, now)

    assert (day["space"], day["capacity"]) == ("", None)
