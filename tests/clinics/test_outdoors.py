"""The page for heat and lightning: what it says of a day, what it refuses, where it is linked."""

import pytest
from django.urls import reverse

from scheduling.models import Booking


@pytest.mark.parametrize(
    ("degrees", "humidity", "said"),
    [(96, 55, "danger"), (90, 50, "extreme caution"), (70, 50, "no caution")],
)
def test_it_says_what_it_feels_like_and_what_to_do(floor_lead, signed_in, degrees, humidity, said):
    page = signed_in(floor_lead).get(reverse("outdoors"), {"fahrenheit": degrees, "humidity": humidity})

    text = page.content.decode()
    assert f"<b>{said}</b>" in text and ("Move indoors" in text) == (said == "danger")


def test_weather_that_cannot_be_is_refused(floor_lead, signed_in):
    answer = signed_in(floor_lead).get(reverse("outdoors"), {"fahrenheit": "hot", "humidity": 120})

    assert answer.status_code == 422 and "less than or equal to 100" in answer.content.decode()


def test_a_clinic_outdoors_points_to_it_and_one_indoors_does_not(coordinator, signed_in, make_clinic, make_space):
    inside, outside = make_clinic(), make_clinic(make_space(indoors=False))
    assert Booking.objects.count() == 2
    client = signed_in(coordinator)

    assert "heat and lightning" in client.get(reverse("clinic", args=[outside.pk])).content.decode()
    assert "heat and lightning" not in client.get(reverse("clinic", args=[inside.pk])).content.decode()


def test_a_stranger_is_sent_to_sign_in(stranger):
    assert stranger.get(reverse("outdoors")).status_code == 302
