"""Spots after something else has changed: a birthday, a move, a guardian who leaves."""

import uuid
from datetime import date, timedelta

import pytest

from clinics.models import AgeBand, Clinic
from core.refusal import Refusal
from families.letters.families import SPOT_OFFER
from families.models import Child, Spot, SpotState
from families.services.office import change_child
from families.services.registering import register
from families.services.spots import answer_offer, carry_spots, end_spot, pass_on_unanswered
from outbox.letters import Stale, build
from outbox.models import Note

pytestmark = pytest.mark.django_db


def years(count: int, clinic: Clinic) -> date:
    return clinic.day.replace(year=clinic.day.year - count, day=1)


@pytest.fixture
def come(household, now):
    def inner(clinic, age, after=0, **more):
        facts = household((f"Child of {age}", years(age, clinic)), **more)
        return register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now + timedelta(minutes=after)).spots[0]

    return inner


@pytest.fixture
def two_groups(make_clinic):
    """One spot from 7 to 9 and one from 10 to 12."""
    clinic = make_clinic(children=1, ages=(7, 9))
    AgeBand.objects.create(clinic=clinic, youngest=10, oldest=12, children=1)
    return clinic


def born(child: Child, day: date) -> dict[str, object]:
    return {"name": child.name, "birth_date": day, "experience": "new", "school_year": ""}


def test_a_corrected_birthday_frees_a_spot_for_who_waited_for_it(two_groups, come, now):
    first, waits = come(two_groups, 8), come(two_groups, 9, after=1)
    assert waits.state == SpotState.WAITING
    change_child(child=first.child, facts=born(first.child, years(11, two_groups)), now=now)

    first.refresh_from_db()
    waits.refresh_from_db()
    assert (first.age, first.state) == (11, SpotState.HELD)
    assert waits.state == SpotState.HELD and waits.answer_by is not None
    assert Note.objects.about(waits).filter(kind=SPOT_OFFER).count() == 1


def test_a_corrected_birthday_never_overfills_the_group_that_the_child_comes_into(two_groups, come, now):
    first, other = come(two_groups, 8), come(two_groups, 11)
    with pytest.raises(Refusal) as refused:
        change_child(child=first.child, facts=born(first.child, years(11, two_groups)), now=now)

    assert refused.value.codes == {"group full"}
    first.refresh_from_db()
    assert first.age == 8 and first.child.birth_date == years(8, two_groups)
    end_spot(spot=other, because="given up", now=now)
    change_child(child=first.child, facts=born(first.child, years(11, two_groups)), now=now)
    assert Spot.objects.held().filter(clinic=two_groups, age=11).count() == 1


def test_who_waits_takes_a_new_spot_in_the_row_of_the_other_group(two_groups, come, now):
    come(two_groups, 8)
    waits = come(two_groups, 9, after=1)
    change_child(child=waits.child, facts=born(waits.child, years(11, two_groups)), now=now)

    waits.refresh_from_db()
    assert waits.age == 11 and waits.state == SpotState.HELD, "nobody has the place of that group"


def moved(clinic, by):
    clinic.starts_at, clinic.ends_at = clinic.starts_at + by, clinic.ends_at + by
    clinic.revision += 1
    clinic.save()
    return clinic


def test_an_offer_ends_before_the_new_start_of_a_clinic_that_was_moved_forward(make_clinic, come, now):
    clinic = make_clinic(children=1)
    first, second, third = come(clinic, 8), come(clinic, 8, after=1), come(clinic, 8, after=2)
    end_spot(spot=first, because="given up", now=now)
    second.refresh_from_db()
    until = second.answer_by
    carry_spots(clinic=moved(clinic, until - clinic.starts_at - timedelta(hours=6)), now=now)

    second.refresh_from_db()
    assert second.answer_by < clinic.starts_at < until
    pass_on_unanswered(now=second.answer_by + timedelta(minutes=1))
    third.refresh_from_db()
    assert third.state == SpotState.HELD, "whoever waits next still has a chance"


def test_an_offer_that_had_not_gone_out_when_the_clinic_moved_goes_out_with_the_new_time(make_clinic, come, now):
    clinic = make_clinic(children=1)
    first, second = come(clinic, 8), come(clinic, 8, after=1)
    end_spot(spot=first, because="given up", now=now)
    (old,) = Note.objects.about(second).filter(kind=SPOT_OFFER)
    carry_spots(clinic=moved(clinic, timedelta(days=1)), now=now)

    with pytest.raises(Stale):
        build(old, now)
    (new,) = Note.objects.about(second).filter(kind=SPOT_OFFER).exclude(pk=old.pk)
    letter = build(new, now)
    clinic.refresh_from_db()
    assert f"{clinic.local_start:%H:%M}" in letter.body and "/spot/" in letter.body


def test_a_move_says_of_an_offered_spot_that_it_still_waits_for_a_yes(make_clinic, come, now):
    clinic = make_clinic(children=1)
    first, second = come(clinic, 8), come(clinic, 8, after=1)
    end_spot(spot=first, because="given up", now=now)
    carry_spots(clinic=moved(clinic, timedelta(days=1)), now=now)
    second.refresh_from_db()
    answer_offer(spot=second, yes=True, now=now)

    assert Spot.objects.get(pk=second.pk).answer_by is None
