"""The link of a floor page opened on several phones in one moment: one has it, and the others read whose it is."""

import pytest
from django.db import IntegrityError

from core import clock
from core.references import reference
from core.refusal import Refusal
from floor.models import FloorPhone
from floor.services.phones import open_phone
from floor.services.stand_ins import name_stand_in
from tests.faults.test_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)


def opening(floor, link):
    who = {"clinic": floor.clinic, "volunteer": floor.lead.volunteer, "came_from": "192.0.2.8"}
    return lambda: open_phone(**who, now=clock.now(), link=link)


def test_one_link_on_six_phones_at_once_opens_on_one(floor):
    link = reference(floor.lead)
    out = at_once(*[opening(floor, link)] * 6)

    losers = [answer for answer in out if isinstance(answer, Refusal)]
    assert FloorPhone.objects.filter(link=link, ended_at__isnull=True).count() == 1 and len(losers) == 5
    for loser in losers:
        assert loser.codes == {"open already"} and "Oswin Tarrant" in str(loser)


def test_phones_that_an_account_opens_at_once_get_a_name_each(floor):
    out = at_once(*[opening(floor, "")] * 4)

    assert not [answer for answer in out if isinstance(answer, Exception)]
    assert sorted(FloorPhone.objects.values_list("number", flat=True)) == [1, 2, 3, 4, 5]


def test_the_constraint_holds_a_link_to_one_phone_even_when_nobody_locks(floor):
    FloorPhone.objects.update(link="shifts.assignment:1")
    facts = FloorPhone.objects.values().get()
    other = facts | {"id": None, "secret": "another", "number": 7}

    (problem,) = at_once(lambda: FloorPhone.objects.create(**other))
    assert isinstance(problem, IntegrityError) and "a_link_is_open_on_one_phone" in str(problem)


def test_two_in_the_office_name_one_stand_in_at_once(floor, make_volunteer, coordinator):
    imara = make_volunteer(duties=("lead",), name="Imara Venn")
    name = lambda: name_stand_in(clinic=floor.clinic, volunteer=imara, by=coordinator, now=clock.now())  # noqa: E731
    out = at_once(name, name, name)

    assert [answer.codes for answer in out if isinstance(answer, Refusal)] == [{"stands in"}] * 2
