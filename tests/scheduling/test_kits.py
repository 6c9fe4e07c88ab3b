"""Kits: where each is, and whether that is where it is next needed."""

import pytest
from django.urls import reverse

from clinics.models import Status
from config import clock
from scheduling.models import KIT_AFTER, KIT_BEFORE, Kit, KitBooking
from scheduling.queries.kits import kits_in_wrong_place


@pytest.fixture
def bag(make_clinic, make_center):
    clinic = make_clinic(days=3)
    kit = Kit.objects.create(name="Bag 1", now_at=make_center("Far Hall"))
    KitBooking.objects.create(
        kit=kit, clinic=clinic, period=(clinic.starts_at - KIT_BEFORE, clinic.ends_at + KIT_AFTER)
    )
    return kit


def astray():
    now = clock.now()
    return [one.kit for one in kits_in_wrong_place(now, now.replace(year=now.year + 1))]


def test_recording_the_trip_puts_it_in_place(bag, coordinator, signed_in):
    assert astray() == [bag]
    center = bag.bookings.get().clinic.center

    answer = signed_in(coordinator).post(reverse("kit-move", args=[bag.pk]), {"now_at": center.pk}, follow=True)

    assert f"Bag 1 is now at {center}" in answer.content.decode()
    assert astray() == []


def test_a_kit_with_a_person_is_not_yet_in_place(bag, coordinator, signed_in):
    signed_in(coordinator).post(reverse("kit-move", args=[bag.pk]), {"with_whom": "Imara Venn"})

    bag.refresh_from_db()
    assert bag.now_at is None and bag.with_whom == "Imara Venn" and astray() == [bag]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [({}, "Say where it is"), ({"now_at": "first", "with_whom": "Imara"}, "Fill in one of the two")],
)
def test_nowhere_and_two_places_are_refused_in_words(bag, coordinator, signed_in, typed, sentence):
    typed = typed | ({"now_at": bag.now_at_id} if "now_at" in typed else {})

    answer = signed_in(coordinator).post(reverse("kit-move", args=[bag.pk]), typed)

    assert answer.status_code == 422 and sentence in answer.content.decode()


def test_a_cancelled_booking_needs_no_kit(bag):
    KitBooking.objects.update(status=Status.CANCELLED)

    assert astray() == []


def test_who_may(bag, stranger, floor_lead, signed_in):
    assert stranger.get(reverse("kits")).status_code == 302
    assert signed_in(floor_lead).get(reverse("kits")).status_code == 200
    assert signed_in(floor_lead).get(reverse("kit-move", args=[bag.pk])).status_code == 200
