"""Fifty households at once for the last five spots, and one page sent many times at once."""

import uuid
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import partial

import pytest

from clinics.models import Clinic
from core import clock
from families.models import Child, Guardian, Registration, Spot, SpotState
from families.services.merge import confirm_household
from families.services.office import change_child
from families.services.registering import Registered, register
from families.services.spots import end_spot
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of
from tests.faults.test_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)


def test_fifty_households_for_five_spots_five_are_held_and_the_others_wait_in_order(make_clinic, household):
    clinic = make_clinic(children=5)
    facts = [household() for _ in range(50)]
    out = at_once(
        *(lambda one=one: register(clinic=clinic, facts=one, once=uuid.uuid4(), now=clock.now()) for one in facts)
    )

    assert [answer for answer in out if not isinstance(answer, Registered)] == []
    assert Spot.objects.held().count() == 5 and Spot.objects.waiting().count() == 45


def test_spots_given_up_at_once_are_offered_once_each(make_clinic, household):
    clinic = make_clinic(children=5)
    for _ in range(12):
        register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=clock.now())
    held = list(Spot.objects.held())
    out = at_once(*(lambda row=row: end_spot(spot=row, because="ill", now=clock.now()) for row in held * 2))

    assert [answer for answer in out if not isinstance(answer, list)] == []
    assert Spot.objects.held().count() == 5 and Spot.objects.waiting().count() == 2
    assert Spot.objects.filter(state=SpotState.GIVEN_UP).count() == 5


def test_one_page_sent_ten_times_at_once_registers_once(make_clinic, household):
    clinic, once, facts = make_clinic(), uuid.uuid4(), household()
    out = at_once(*(lambda: register(clinic=clinic, facts=facts, once=once, now=clock.now()) for _ in range(10)))

    assert [answer for answer in out if not isinstance(answer, Registered)] == []
    assert Registration.objects.count() == Child.objects.count() == Spot.objects.count() == 1


def test_households_are_joined_and_birthdays_corrected_while_their_clinic_moves(make_clinic, household):
    """Whoever moves a clinic holds it and writes to its guardians; nobody may hold a guardian and wait for it."""
    clinic = make_clinic(children=40, ages=(5, 14))
    now, older = clock.now(), []
    work: list[Callable[[], object]] = []
    born = clinic.day.replace(year=clinic.day.year - 8, day=1)
    for number in range(6):
        facts = household((f"Child {number}", born), email=f"home{number}@example.org")
        known = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian
        confirm_household(guardian=known, now=now)
        again = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian
        work.append(partial(confirm_household, guardian=again, now=now))
    for number in range(4):
        child = (
            register(clinic=clinic, facts=household((f"Older {number}", born)), once=uuid.uuid4(), now=now)
            .spots[0]
            .child
        )
        older.append(child)
        typed = {"name": child.name, "birth_date": born - timedelta(days=400), "experience": "new", "school_year": ""}
        work.append(partial(change_child, child=child, facts=typed, now=now))

    def moving():
        row = Clinic.objects.select_related("center").prefetch_related("bands").get(pk=clinic.pk)
        facts = replace(facts_of(row), starts=(row.local_start + timedelta(minutes=30)).time())
        return change_clinic(clinic=row, facts=facts, now=clock.now())

    out = at_once(moving, *work)

    assert [one for one in out if isinstance(one, Exception) or one is None] == []
    assert Spot.objects.live().filter(clinic=clinic).count() == 10 and Guardian.objects.count() == 10
    assert set(Spot.objects.filter(child__in=older).values_list("age", flat=True)) == {9}
