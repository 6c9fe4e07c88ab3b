"""Releasing who can't stand and freeing who leaves, each service by itself: all of it or nothing, and how many."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import OperationalError, connection, transaction

from clinics.models import Clinic
from core import clock
from core.formats import full_date
from outbox.models import Note
from people.models import Clearance, Volunteer
from shifts.letters.shifts import SHIFT_RELEASED
from shifts.models import Assignment
from shifts.services.cover import ask_volunteer, release_volunteer
from shifts.services.eligibility import (
    free_former,
    hold_clinics,
    leave,
    release_all_ineligible,
    release_ineligible,
)
from shifts.services.merge import hold_clinics_of
from tests.meanwhile import meanwhile

pytestmark = pytest.mark.django_db


@pytest.fixture
def accepted(make_assignment, make_shift, make_clinic, make_volunteer):
    return make_assignment(make_shift(make_clinic(days=20)), make_volunteer("Tobiah Quill", email="tobiah@example.org"))


def expire(row):
    """Their conduct training had its last day yesterday."""
    today = clock.today()
    Clearance.objects.filter(volunteer=row.volunteer, kind__code="conduct").update(
        issued_on=today - timedelta(days=300), expires_on=today - timedelta(days=1)
    )


@pytest.mark.django_db(transaction=True)
def test_all_shifts_of_a_person_are_released_together_or_none(
    accepted, make_assignment, make_shift, make_clinic, make_volunteer
):
    person = accepted.volunteer
    later = make_assignment(make_shift(make_clinic(days=30)), person)
    make_assignment(make_shift(make_clinic(days=40)), make_volunteer())
    expire(accepted)
    # The second of them can't be written, after the first was.
    Assignment.objects.filter(pk=later.pk).update(sequence=2147483647)
    with pytest.raises(Exception, match="out of range"):
        release_ineligible(person, clock.now())
    accepted.refresh_from_db()
    assert accepted.live and not Note.objects.exists()

    Assignment.objects.filter(pk=later.pk).update(sequence=0)
    assert release_all_ineligible(now=clock.now()) == 2
    assert [row.live for row in Assignment.objects.order_by("pk")] == [False, False, True]
    assert Note.objects.filter(kind=SHIFT_RELEASED).count() == 2
    assert release_ineligible(person, clock.now()) == [] and release_all_ineligible(now=clock.now()) == 0


def test_looking_for_who_is_unfit_costs_the_same_however_many_are_fit(
    accepted, make_assignment, make_shift, make_clinic, make_volunteer, django_assert_num_queries
):
    """Who is fit is locked by nobody: only the unfit are looked at a second time, under their clinics' locks."""
    with django_assert_num_queries(5):
        assert release_all_ineligible(now=clock.now()) == 0
    for _ in range(5):
        make_assignment(make_shift(make_clinic(days=20)), make_volunteer())
    with django_assert_num_queries(5):
        assert release_all_ineligible(now=clock.now()) == 0


@pytest.mark.django_db(transaction=True)
def test_who_leaves_is_freed_from_what_is_to_come_and_their_links_end(
    accepted, make_assignment, make_shift, make_clinic, make_volunteer
):
    person, now = accepted.volunteer, clock.now()
    make_assignment(make_shift(make_clinic(days=30)), person)
    others = make_assignment(make_shift(make_clinic(days=30)), make_volunteer())
    links = (person.link_counter, person.feed_counter)

    assert leave(volunteer=person, today=clock.today(), now=now) == 2

    person.refresh_from_db()
    others.refresh_from_db()
    assert person.left_on == clock.today() and others.live
    assert (person.link_counter, person.feed_counter) == (links[0] + 1, links[1] + 1)
    assert not Assignment.objects.live().filter(volunteer=person).exists()
    assert leave(volunteer=person, today=clock.today() + timedelta(days=1), now=now) == 0
    person.refresh_from_db()
    assert (person.left_on, person.link_counter) == (clock.today(), links[0] + 1)


def test_who_gives_up_a_duty_is_freed_from_its_shifts_alone_and_keeps_the_links(
    accepted, make_assignment, make_shift, make_clinic
):
    person, now = accepted.volunteer, clock.now()
    person.duties = ["door"]
    person.save()
    door = make_assignment(make_shift(make_clinic(days=30), "door"), person)
    links = (person.link_counter, person.feed_counter)

    assert free_former(person, now) == 1
    assert free_former(person, now) == 0

    for row in (accepted, door, person):
        row.refresh_from_db()
    assert not accepted.live and door.live and (person.link_counter, person.feed_counter) == links
    assert accepted.released_because == "you no longer have this duty: coach"


def test_a_clinic_that_has_begun_or_is_cancelled_keeps_its_people(accepted, make_assignment, make_shift, make_clinic):
    clinic = accepted.shift.clinic
    expire(accepted)

    assert release_ineligible(accepted.volunteer, clinic.starts_at) == []
    clinic.status = "cancelled"
    clinic.save()
    assert release_ineligible(accepted.volunteer, clock.now()) == []


def test_who_is_current_again_on_the_clinics_day_keeps_the_shift(accepted, policy):
    expire(accepted)
    tomorrow = clock.today() + timedelta(days=1)
    Clearance.objects.create(volunteer=accepted.volunteer, kind=policy["conduct"], issued_on=tomorrow)

    assert release_ineligible(accepted.volunteer, clock.now()) == [] and release_all_ineligible(now=clock.now()) == 0


def test_the_words_name_what_fails_and_nothing_that_is_current(accepted):
    expire(accepted)
    last = clock.today() - timedelta(days=1)
    release_ineligible(accepted.volunteer, clock.now())

    accepted.refresh_from_db()
    assert accepted.released_because == f"your conduct training expired on {full_date(last)}"


@pytest.mark.parametrize("state", ["missing", "awaiting", "refused"])
def test_the_words_for_what_is_not_clear_are_the_same_whatever_it_is(accepted, state):
    rows = Clearance.objects.filter(volunteer=accepted.volunteer, kind__code="screening")
    if state == "missing":
        rows.delete()
    else:
        rows.update(state=state)
    release_ineligible(accepted.volunteer, clock.now())

    accepted.refresh_from_db()
    assert accepted.released_because == (
        "we don’t have a clear result on file for your screening check; please call us"
    )


def test_two_that_fail_are_both_named(accepted):
    expire(accepted)
    Clearance.objects.filter(volunteer=accepted.volunteer, kind__code="screening").delete()
    release_ineligible(accepted.volunteer, clock.now())

    accepted.refresh_from_db()
    assert "clear result on file for your screening check" in accepted.released_because
    assert "your conduct training expired on" in accepted.released_because


def nobody_holds(clinic: Clinic) -> bool:
    """Whether somebody else could lock the clinic at this moment: asked over a connection of its own."""

    def ask() -> bool:
        try:
            with transaction.atomic():
                return bool(list(Clinic.objects.select_for_update(no_key=True, nowait=True).filter(pk=clinic.pk)))
        except OperationalError:
            return False
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as other:
        return other.submit(ask).result()


@pytest.mark.django_db(transaction=True)
def test_the_clinics_of_a_person_are_held_to_the_end_of_the_transaction_and_no_others(
    accepted, make_assignment, make_shift, make_clinic, make_volunteer
):
    theirs = accepted.shift.clinic
    others = make_assignment(make_shift(make_clinic(days=30)), make_volunteer()).shift.clinic
    with transaction.atomic():
        hold_clinics(accepted.volunteer, clock.now())
        assert not nobody_holds(theirs) and nobody_holds(others)

    assert nobody_holds(theirs)


@pytest.mark.django_db(transaction=True)
def test_a_clinic_that_they_are_asked_for_while_we_wait_for_their_row_is_held_too(accepted, make_shift, make_clinic):
    now, person = clock.now(), accepted.volunteer
    further = make_shift(make_clinic(days=30))
    with (
        transaction.atomic(),
        meanwhile(lambda: ask_volunteer(shift=further, volunteer=person, now=now)),
    ):
        hold_clinics(person, now)
        assert not nobody_holds(accepted.shift.clinic) and not nobody_holds(further.clinic)


@pytest.mark.django_db(transaction=True)
def test_before_two_records_become_one_such_a_clinic_is_held_too(accepted, make_shift, make_clinic, make_volunteer):
    now, person = clock.now(), accepted.volunteer
    further = make_shift(make_clinic(days=30))
    with (
        transaction.atomic(),
        meanwhile(lambda: ask_volunteer(shift=further, volunteer=person, now=now)),
        hold_clinics_of([person.pk, make_volunteer().pk], now),
    ):
        # As merging does next.
        list(Volunteer.objects.select_for_update(no_key=True).filter(pk=person.pk))
        assert not nobody_holds(accepted.shift.clinic) and not nobody_holds(further.clinic)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("call", ["unfit", "former"])
def test_a_shift_that_was_freed_while_we_waited_for_the_clinic_is_left_as_it_is(accepted, call):
    expire(accepted)
    now, person = clock.now(), accepted.volunteer
    if call == "former":
        person.duties = ["door"]
        person.save()

    def by_hand() -> None:
        release_volunteer(assignment=accepted, because="by hand", now=now)

    with meanwhile(by_hand):
        done = release_ineligible(person, now) if call == "unfit" else free_former(person, now)

    accepted.refresh_from_db()
    assert not done and accepted.released_because == "by hand"
