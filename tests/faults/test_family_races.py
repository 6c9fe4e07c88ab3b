"""Fifty households at once for the last five places, and one page sent many times at once."""

import uuid

import pytest

from clinics.models import Place, PlaceState, Registration
from config import clock
from people.models import Child
from scheduling.services.families.places import end_place
from scheduling.services.families.registering import Registered, register
from tests.faults.test_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)


def test_fifty_households_for_five_places_five_are_held_and_the_others_wait_in_order(make_clinic, household):
    clinic = make_clinic(children=5)
    facts = [household() for _ in range(50)]
    out = at_once(
        *(lambda one=one: register(clinic=clinic, facts=one, once=uuid.uuid4(), now=clock.now()) for one in facts)
    )

    assert [answer for answer in out if not isinstance(answer, Registered)] == []
    assert Place.objects.held().count() == 5 and Place.objects.waiting().count() == 45


def test_places_given_up_at_once_are_offered_once_each(make_clinic, household):
    clinic = make_clinic(children=5)
    for _ in range(12):
        register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=clock.now())
    held = list(Place.objects.held())
    out = at_once(*(lambda row=row: end_place(place=row, because="ill", now=clock.now()) for row in held * 2))

    assert [answer for answer in out if not isinstance(answer, list)] == []
    assert Place.objects.held().count() == 5 and Place.objects.waiting().count() == 2
    assert Place.objects.filter(state=PlaceState.GIVEN_UP).count() == 5


def test_one_page_sent_ten_times_at_once_registers_once(make_clinic, household):
    clinic, once, facts = make_clinic(), uuid.uuid4(), household()
    out = at_once(*(lambda: register(clinic=clinic, facts=facts, once=once, now=clock.now()) for _ in range(10)))

    assert [answer for answer in out if not isinstance(answer, Registered)] == []
    assert Registration.objects.count() == Child.objects.count() == Place.objects.count() == 1
