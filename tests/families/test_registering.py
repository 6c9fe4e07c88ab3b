"""Households, spots and what passes between them, without a page."""

import uuid
from datetime import date, timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic
from core import clock
from core.refusal import Refusal
from families.letters.families import FAMILY_MOVED, SPOT_LOST, SPOT_OFFER, SPOTS
from families.models import Child, Guardian, Spot, SpotState, Waiver
from families.queries.waivers import photos_allowed
from families.services.merge import confirm_household
from families.services.registering import register
from families.services.spot_books import take_spot
from families.services.spots import (
    answer_offer,
    carry_spots,
    end_spot,
    offer_free_spots,
    pass_on_unanswered,
    tell_families_cancelled,
)
from outbox.letters import build
from outbox.models import Note

pytestmark = pytest.mark.django_db


@pytest.fixture
def send(now):
    def inner(clinic, facts, once=None):
        return register(clinic=clinic, facts=facts, once=once or uuid.uuid4(), now=now)

    return inner


def years(count: int, clinic: Clinic) -> date:
    """A birthday that makes a child ``count`` on the clinic's day."""
    return clinic.day.replace(year=clinic.day.year - count, day=1)


def test_a_household_is_written_whole_and_its_child_has_a_spot(make_clinic, household, send):
    clinic = make_clinic(children=5)
    out = send(clinic, household())

    child = Child.objects.get()
    assert [spot.state for spot in out.spots] == [SpotState.HELD]
    assert child.guardianships.get().emergency_phone == "555-0123"
    assert child.pickup_people.get().name == "Uncle Bram"
    assert Waiver.objects.get(child=child).typed_name == "Guardian 001"
    note = Note.objects.get(kind=SPOTS)
    assert note.number_of(Guardian) == Guardian.objects.get().pk and child.name not in note.summary


def test_sending_the_same_page_twice_registers_once(make_clinic, household, send):
    clinic, once, facts = make_clinic(), uuid.uuid4(), household()
    first, second = send(clinic, facts, once), send(clinic, facts, once)

    assert second.again and second.registration == first.registration
    assert Child.objects.count() == Spot.objects.count() == Note.objects.count() == 1


def test_the_child_after_the_last_spot_waits(make_clinic, household, send):
    clinic = make_clinic(children=2)
    states = [send(clinic, household()).spots[0].state for _ in range(3)]

    assert states == [SpotState.HELD, SpotState.HELD, SpotState.WAITING]


def test_a_spot_given_up_goes_to_the_first_who_waits_with_a_time_to_answer(make_clinic, household, send, now):
    clinic = make_clinic(children=1)
    first, second, third = (send(clinic, household()).spots[0] for _ in range(3))
    end_spot(spot=first, because="ill", now=now)

    second.refresh_from_db()
    third.refresh_from_db()
    assert second.state == SpotState.HELD and now < second.answer_by < clinic.starts_at
    assert third.state == SpotState.WAITING
    assert Note.objects.get(kind=SPOT_OFFER).number_of(Spot) == second.pk
    assert answer_offer(spot=second, yes=True, now=now).answer_by is None


def test_an_offer_nobody_answers_is_passed_on_once(make_clinic, household, send, now):
    clinic = make_clinic(children=1)
    first, second, third = (send(clinic, household()).spots[0] for _ in range(3))
    end_spot(spot=first, because="ill", now=now)
    second.refresh_from_db()
    later = second.answer_by + timedelta(minutes=1)

    assert [pass_on_unanswered(now=later), pass_on_unanswered(now=later)] == [1, 0]
    third.refresh_from_db()
    assert third.state == SpotState.HELD and third.answer_by > later
    assert Note.objects.about(second).filter(kind=SPOT_LOST).count() == 1
    with pytest.raises(Refusal) as refused:
        answer_offer(spot=second, yes=True, now=later)
    assert refused.value.codes == {"gone"}


def test_saying_no_to_an_offer_passes_it_on_at_once(make_clinic, household, send, now):
    clinic = make_clinic(children=1)
    first, second, third = (send(clinic, household()).spots[0] for _ in range(3))
    end_spot(spot=first, because="ill", now=now)
    answer_offer(spot=second, yes=False, now=now)

    third.refresh_from_db()
    assert third.state == SpotState.HELD and Spot.objects.held().count() == 1


def test_the_age_is_taken_on_the_clinics_day_and_each_child_gets_its_own_sentence(make_clinic, household, send):
    clinic = make_clinic(ages=(7, 10))
    almost = date(clinic.day.year - 7, clinic.day.month, clinic.day.day) + timedelta(days=1)
    facts = household(("Nearly Seven", almost), ("Seven", years(7, clinic)))
    with pytest.raises(Refusal) as refused:
        send(clinic, facts)

    assert [reason.field for reason in refused.value.reasons] == ["children-0-birth_date"]
    assert refused.value.codes == {"too young"} and Child.objects.count() == 0
    assert send(clinic, household(("Seven", almost - timedelta(days=1)))).spots[0].age == 7


def test_what_is_written_of_allergies_can_not_be_read_in_the_database(make_clinic, household, send):
    from django.db import connection

    facts = household()
    object.__setattr__(facts.children[0], "allergies", "peanuts")
    send(make_clinic(), facts)
    with connection.cursor() as cursor:
        cursor.execute("select allergies, row_to_json(c)::text from families_child c")
        kept, whole = cursor.fetchone()

    assert "peanuts" not in whole and kept.startswith("gAAAA")
    assert Child.objects.get().allergies == "peanuts" and Child.objects.get().has_care


def test_a_known_address_is_not_touched_until_its_link_is_used(make_clinic, household, send, now):
    clinic, other = make_clinic(days=10), make_clinic(days=17)
    born = years(8, clinic)
    first = send(clinic, household(("Wren Ash", born), email="wren@example.org"))
    confirm_household(guardian=first.registration.guardian, now=now)
    second = send(other, household(("wren  ash", born), email="Wren@Example.org", phone="555-0144"))

    assert Guardian.objects.count() == Child.objects.count() == 2
    known = confirm_household(guardian=second.registration.guardian, now=now)
    assert known == first.registration.guardian and known.phone == "555-0144"
    child = Child.objects.get()
    assert set(child.spots.values_list("clinic", flat=True)) == {clinic.pk, other.pk}
    assert child.pickup_people.count() == 1 and child.waivers.count() == 2


def test_one_child_never_keeps_two_spots_after_joining(make_clinic, household, send, now):
    clinic = make_clinic(children=2)
    born = years(8, clinic)
    first = send(clinic, household(("Wren Ash", born), email="wren@example.org"))
    confirm_household(guardian=first.registration.guardian, now=now)
    second = send(clinic, household(("Wren Ash", born), email="wren@example.org"))
    waiting = send(clinic, household()).spots[0]
    confirm_household(guardian=second.registration.guardian, now=now)

    waiting.refresh_from_db()
    assert Spot.objects.held().count() == 2 and waiting.state == SpotState.HELD


def test_a_move_that_makes_a_child_too_old_ends_its_spot_and_tells_every_household(make_clinic, household, send, now):
    clinic = make_clinic(ages=(7, 8), children=1)
    turning = date(clinic.day.year - 9, clinic.day.month, clinic.day.day) + timedelta(days=3)
    oldest = send(clinic, household(("Nearly Nine", turning))).spots[0]
    waiting = send(clinic, household(("Seven", years(7, clinic)))).spots[0]
    clinic.starts_at += timedelta(days=7)
    clinic.ends_at += timedelta(days=7)
    clinic.revision += 1
    clinic.save()

    assert carry_spots(clinic=clinic, now=now) == [oldest]
    waiting.refresh_from_db()
    assert waiting.state == SpotState.HELD and waiting.answer_by is not None
    assert Note.objects.filter(kind=FAMILY_MOVED).count() == 2
    assert Note.objects.filter(kind=SPOT_LOST).count() == 1


def test_a_cancelled_clinic_ends_every_spot_with_one_note_a_household(make_clinic, household, send, now):
    clinic = make_clinic()
    send(clinic, household(("One", years(8, clinic)), ("Two", years(9, clinic))))

    assert tell_families_cancelled(clinic=clinic, now=now) == 1
    assert not Spot.objects.live().exists()


def test_the_office_gives_spots_where_families_can_not_register(make_clinic, household, send, now):
    clinic = make_clinic(takes_families=False)
    with pytest.raises(Refusal) as refused:
        send(clinic, household())
    assert refused.value.codes == {"not open"}
    child = Child.objects.create(name="Fern", birth_date=years(8, clinic), registered_at=clock.now())
    spot = take_spot(clinic=clinic, child=child, guardian=None, now=now, by_office=True)
    assert spot.state == SpotState.HELD


def test_a_guardian_who_gives_a_spot_up_gets_it_out_of_their_calendar(make_clinic, household, send, now):
    spot = send(make_clinic(), household()).spots[0]
    end_spot(spot=spot, because="given up by the guardian", now=now)
    mail = build(Note.objects.get(kind=SPOT_LOST), now)

    assert "You gave up this spot" in mail.body and "METHOD:CANCEL" in str(mail.alternatives[-1][0])


def test_a_group_that_is_taken_away_ends_the_spots_of_its_ages(make_clinic, household, send, now):
    clinic = make_clinic(ages=(7, 10))
    young = send(clinic, household(("Seven", years(7, clinic)))).spots[0]
    old = send(clinic, household(("Ten", years(10, clinic)))).spots[0]
    clinic.bands.update(oldest=8)
    offer_free_spots(clinic=clinic, now=now)

    young.refresh_from_db()
    old.refresh_from_db()
    assert young.state == SpotState.HELD and old.state == SpotState.GIVEN_UP
    assert Note.objects.get(kind=SPOT_LOST).number_of(Spot) == old.pk


def test_the_office_notes_what_a_guardian_said_of_photos_and_a_no_still_wins(
    make_clinic, household, send, signed_in, coordinator, floor_lead
):
    child = send(make_clinic(), household(photos=True)).spots[0].child
    address = reverse("child-photos", args=[child.pk])
    assert signed_in(floor_lead).post(address, {"allowed": "no"}).status_code == 403
    assert child.pk in photos_allowed([child.pk])
    signed_in(coordinator).post(address, {"allowed": "no"})
    assert child.pk not in photos_allowed([child.pk])
    signed_in(coordinator).post(address, {"allowed": "maybe"})
    signed_in(coordinator).post(address, {"allowed": "yes"})
    assert child.pk in photos_allowed([child.pk])
