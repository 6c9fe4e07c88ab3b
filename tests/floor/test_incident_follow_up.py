"""A blow to the head is not forgotten the next day: the office is asked, and the child is marked until cleared."""

import uuid
from datetime import UTC, time, timedelta

import pytest
from django.urls import reverse

from core import clock
from core.rules.local_time import localize
from families.models import Spot, SpotState
from floor.queries.page import day_data
from floor.services.phones import open_phone
from scheduling.queries.ahead import ahead_page
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def hurt(floor, now):
    """A clinic of yesterday where something happened to Wren; returns a function that sends a report of it."""
    clinic = floor.clinic
    day = now.astimezone(clinic.center.tz).date() - timedelta(days=1)
    clinic.starts_at = localize(day, time(8), clinic.center.tz).astimezone(UTC)
    clinic.ends_at = clinic.starts_at + timedelta(hours=2)
    clinic.save()
    floor.phone.opened_at = clinic.starts_at - timedelta(hours=1)
    floor.phone.save()
    words = {
        "what": "Ran into the wall",
        "first_aid": "Cold pack",
        "told": "not yet",
        "witness": "Marla",
        "head": False,
    }

    def inner(seq=1, who=f"c{floor.children[0].pk}", **more):
        one = entry(seq, "incident", clinic.starts_at + timedelta(minutes=40), who=who, **(words | more))
        send(floor, one)
        return one

    return inner


@pytest.fixture
def next_clinic(floor, make_clinic, make_shift, make_assignment):
    """Tomorrow's, where the same children have a spot, and its lead's phone."""
    clinic = make_clinic(days=1)
    for child in floor.children:
        guardian = child.guardianships.all()[0].guardian
        Spot.objects.create(
            clinic=clinic, child=child, guardian=guardian, state=SpotState.HELD, age=9, asked_at=clock.now()
        )
    make_assignment(make_shift(clinic, "lead"), floor.lead.volunteer)
    return clinic


def on_phone(clinic, floor, now):
    phone, _ = open_phone(clinic=clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.9", now=now)
    return {one["name"]: one["not_cleared"] for one in day_data(phone, now)["children"]}


def needs(now):
    return [
        f"{one.headline} {one.detail}" for one in ahead_page(now, clock.today()).needs if "Wren Ash" in one.headline
    ]


def test_a_blow_to_the_head_stands_on_ahead_the_next_day_and_a_year_later(hurt, now):
    hurt(head=True)
    assert len(needs(now)) == 1 and "hit to the head" in needs(now)[0]
    later = now + timedelta(days=366)
    assert [one.headline for one in ahead_page(later, later.date()).needs if "Wren Ash" in one.headline]


def test_at_the_next_clinic_the_child_is_marked_on_the_phone_and_on_the_sign_in_sheet(
    hurt, next_clinic, floor, signed_in, coordinator
):
    hurt(head=True)
    told = on_phone(next_clinic, floor, next_clinic.starts_at - timedelta(hours=2))
    assert told["Wren Ash"] and not told["Fern Moss"]
    sheet = signed_in(coordinator).get(reverse("clinic-door", args=[next_clinic.pk])).content.decode()
    assert sheet.count("not to play until cleared") == 1
