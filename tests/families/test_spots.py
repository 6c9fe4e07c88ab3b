"""Whom a bag is packed for once families have registered."""

import uuid
from datetime import date

import pytest

from families.services.registering import register
from kits.queries.packing import ages_to_pack_for

pytestmark = pytest.mark.django_db


def test_held_spots_count_by_their_age_and_the_rest_is_spread_over_the_band(make_clinic, household, now):
    clinic = make_clinic(children=6, ages=(7, 9))
    assert sorted(ages_to_pack_for(clinic)) == [7, 7, 8, 8, 9, 9]
    for name in ("Wren", "Fern", "Bryn"):
        facts = household((name, date(clinic.day.year - 9, 1, 1)))
        register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now)

    assert sorted(ages_to_pack_for(clinic)) == [7, 8, 9, 9, 9, 9]


def test_who_only_waits_gets_no_ball(make_clinic, household, now):
    clinic = make_clinic(children=1, ages=(7, 9))
    for name in ("Wren", "Fern"):
        facts = household((name, date(clinic.day.year - 9, 1, 1)))
        register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now)

    assert ages_to_pack_for(clinic) == [9]
