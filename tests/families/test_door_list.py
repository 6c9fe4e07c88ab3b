"""The sign-in sheet: what it says in words, and who may read what is locked."""

import uuid
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import pytest
from django.urls import reverse

from core.rules.local_time import localize
from families.models import CareReading, Child, Spot, Waiver
from families.services.family_records import keep_away
from families.services.registering import register
from floor.queries.floor_hours import wipe_at
from people.models import Volunteer
from tests.clock import at

pytestmark = pytest.mark.django_db


@pytest.fixture
def come(now):
    """Register one household of one child, with an allergy unless told otherwise; gives the child."""

    def inner(clinic, facts, allergies="Walnuts"):
        first = replace(facts.children[0], allergies=allergies)
        # A clinic of today may have begun at the hour at which this runs.
        before = min(now, clinic.starts_at - timedelta(hours=1))
        out = register(clinic=clinic, facts=replace(facts, children=[first]), once=uuid.uuid4(), now=before)
        return out.spots[0].child

    return inner


def door(clinic):
    return reverse("clinic-door", args=[clinic.pk])


def opened(client, clinic):
    """The sheet, opened with its button."""
    return client.post(door(clinic), follow=True)


@pytest.fixture
def lead(floor_lead, signed_in, make_volunteer, make_shift, make_assignment):
    """Log in as the floor lead, who has accepted to lead this clinic."""

    def inner(clinic):
        volunteer = Volunteer.objects.filter(email=floor_lead.email).first()
        volunteer = volunteer or make_volunteer(duties=("lead",), name=floor_lead.name, email=floor_lead.email)
        make_assignment(make_shift(clinic, "lead"), volunteer)
        return signed_in(floor_lead)

    return inner


def know(clinic):
    return reverse("clinic-door-care", args=[clinic.pk])


def test_an_expired_and_a_missing_waiver_are_said_in_words(lead, make_clinic, household, come):
    clinic = make_clinic(days=1)
    expired = come(clinic, household())
    come(clinic, household(signed="", text=None))
    day = clinic.day - timedelta(days=1)
    Waiver.objects.filter(child=expired).update(until=day, signed_on=day - timedelta(days=300))
    text = opened(lead(clinic), clinic).content.decode()

    assert "expired" in text and "missing" in text and "2 children without a current waiver" in text


def test_who_must_not_pick_up_stands_there_in_words(lead, coordinator, make_clinic, household, come, now):
    clinic = make_clinic(days=1)
    child = come(clinic, household(pickup_people=[]))
    keep_away(child=child, name="Ranulf Moss", relation="", seen="Order of the court", by=coordinator, now=now)
    text = opened(lead(clinic), clinic).content.decode()

    assert "MUST NOT PICK UP: Ranulf Moss" in text and "Order of the court" not in text


def test_silence_about_photos_is_a_no(lead, make_clinic, household, come):
    clinic = make_clinic(days=1)
    client = lead(clinic)
    come(clinic, household(photos=True))
    assert "no photos" not in opened(client, clinic).content.decode()
    come(clinic, household(photos=False))
    assert "no photos" in opened(client, clinic).content.decode()


def test_a_coordinator_sees_that_there_is_something_and_never_what(
    coordinator, signed_in, make_clinic, household, come
):
    clinic = make_clinic(days=0, starts=time(23, 0), ends=time(23, 59))
    come(clinic, household())
    client = signed_in(coordinator)
    shown, refused = opened(client, clinic), client.post(know(clinic))

    assert "has care notes" in shown.content.decode() and refused.status_code == 403
    for answer in (shown, refused):
        assert "Walnuts" not in answer.content.decode()
    assert CareReading.objects.count() == 0


def test_an_admin_reads_it_at_any_time_and_each_child_is_written_down_once(
    admin, signed_in, make_clinic, household, come
):
    clinic = make_clinic(days=30)
    first = come(clinic, household())
    come(clinic, household(), allergies="")
    answer = signed_in(admin).post(know(clinic))

    assert "Walnuts" in answer.content.decode() and answer["Cache-Control"] == "no-store"
    reading = CareReading.objects.get()
    assert (reading.child, reading.by, reading.where) == (first, admin, f"sign-in sheet of clinic {clinic.pk}")


def test_opening_the_list_alone_reads_nothing(admin, signed_in, make_clinic, household, come):
    clinic = make_clinic()
    come(clinic, household())

    assert "Walnuts" not in opened(signed_in(admin), clinic).content.decode()
    assert CareReading.objects.count() == 0
    assert signed_in(admin).get(know(clinic)).status_code == 405


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Honolulu", "America/New_York"])
def test_a_lead_reads_it_only_on_the_day_it_is_at_the_center_and_while_the_floor_page_is_open(
    lead, make_center, make_space, make_clinic, household, come, zone
):
    center = make_center(time_zone=zone)
    clinic = make_clinic(make_space(center), days=3)
    come(clinic, household())
    client = lead(clinic)
    midnight = localize(clinic.day, time(0, 0), center.tz)
    seen = {}
    for name, moment in (
        ("a minute before the day", midnight - timedelta(minutes=1)),
        ("its first minute", midnight + timedelta(minutes=1)),
        ("the floor page's last minute", wipe_at(clinic) - timedelta(minutes=1)),
        ("a minute after it", wipe_at(clinic) + timedelta(minutes=1)),
    ):
        with at(moment.astimezone(UTC), tick=False):
            answer = client.post(know(clinic))
        seen[name] = (answer.status_code, "Walnuts" in answer.content.decode())

    assert seen == {
        "a minute before the day": (403, False),
        "its first minute": (200, True),
        "the floor page's last minute": (200, True),
        "a minute after it": (403, False),
    }
    assert CareReading.objects.count() == 2


def test_children_who_wait_are_not_on_it(lead, make_clinic, household, come):
    clinic = make_clinic(days=1, children=1)
    come(clinic, household())
    waiting = come(clinic, household())

    assert waiting.name not in opened(lead(clinic), clinic).content.decode()


def test_two_hundred_children_ask_no_more_queries_than_one(
    lead, make_clinic, household, come, django_assert_max_num_queries
):
    clinic = make_clinic(days=1, children=500)
    come(clinic, household())
    born = Child.objects.get().birth_date
    many = Child.objects.bulk_create(
        Child(name=f"Child {n} Moss", birth_date=born, registered_at=datetime(2026, 1, 1, tzinfo=UTC))
        for n in range(200)
    )
    Spot.objects.bulk_create(
        Spot(clinic=clinic, child=one, state="held", age=8, asked_at=clinic.starts_at - timedelta(days=9))
        for one in many
    )
    client = lead(clinic)
    client.post(door(clinic))
    with django_assert_max_num_queries(22):
        text = client.get(door(clinic)).content.decode()
    assert text.count("missing") >= 200


@pytest.mark.parametrize("page", ["clinic-door", "clinic-children"])
def test_a_stranger_sees_no_child(stranger, make_clinic, household, come, page):
    clinic = make_clinic()
    child = come(clinic, household())
    answer = stranger.get(reverse(page, args=[clinic.pk]))

    assert answer.status_code == 302 and child.name not in answer.content.decode()
    assert stranger.post(know(clinic)).status_code == 302 and CareReading.objects.count() == 0


def test_a_floor_lead_has_no_way_to_the_records(lead, make_clinic, household, come):
    clinic = make_clinic(days=1)
    child = come(clinic, household())
    client = lead(clinic)

    for address in (
        reverse("clinic-children", args=[clinic.pk]),
        reverse("children"),
        reverse("child", args=[child.pk]),
    ):
        assert client.get(address).status_code == 403
    assert reverse("child", args=[child.pk]) not in opened(client, clinic).content.decode()
