"""Releasing who can't stand and freeing who leaves, each service by itself: all of it or nothing, and how many."""

from datetime import timedelta

import pytest

from config import clock
from people.models import Clearance
from scheduling.models import Assignment, Note, NoteKind
from scheduling.services.fitness import free_former, leave, release_all_unfit, release_unfit

pytestmark = pytest.mark.django_db


@pytest.fixture
def accepted(make_assignment, make_shift, make_clinic, make_volunteer):
    return make_assignment(make_shift(make_clinic(days=20)), make_volunteer("Tobiah Quill", email="tobiah@example.org"))


def lapse(row):
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
    lapse(accepted)
    # The second of them can't be written, after the first was.
    Assignment.objects.filter(pk=later.pk).update(sequence=2147483647)
    with pytest.raises(Exception, match="out of range"):
        release_unfit(person, clock.now())
    accepted.refresh_from_db()
    assert accepted.live and not Note.objects.exists()

    Assignment.objects.filter(pk=later.pk).update(sequence=0)
    assert release_all_unfit(now=clock.now()) == 2
    assert [row.live for row in Assignment.objects.order_by("pk")] == [False, False, True]
    assert Note.objects.filter(kind=NoteKind.SHIFT_RELEASED).count() == 2
    assert release_unfit(person, clock.now()) == [] and release_all_unfit(now=clock.now()) == 0


def test_looking_for_who_is_unfit_costs_the_same_however_many_are_fit(
    accepted, make_assignment, make_shift, make_clinic, make_volunteer, django_assert_num_queries
):
    """Who is fit is locked by nobody: only the unfit are looked at a second time, under their clinics' locks."""
    with django_assert_num_queries(5):
        assert release_all_unfit(now=clock.now()) == 0
    for _ in range(5):
        make_assignment(make_shift(make_clinic(days=20)), make_volunteer())
    with django_assert_num_queries(5):
        assert release_all_unfit(now=clock.now()) == 0


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
    assert accepted.released_because == "you no longer do this duty, coach"


def test_a_clinic_that_has_begun_or_is_cancelled_keeps_its_people(accepted, make_assignment, make_shift, make_clinic):
    clinic = accepted.shift.clinic
    lapse(accepted)

    assert release_unfit(accepted.volunteer, clinic.starts_at) == []
    clinic.status = "cancelled"
    clinic.save()
    assert release_unfit(accepted.volunteer, clock.now()) == []
