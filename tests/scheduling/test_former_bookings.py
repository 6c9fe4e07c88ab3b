"""A clinic that goes to another center is cancelled in the calendar of the one it left. RFC 5545, read by icalendar."""

from dataclasses import replace
from datetime import timedelta

import pytest
from icalendar import Calendar

from clinics.models import Status
from core import clock, links
from scheduling.models import Answer, Booking, FormerBooking
from scheduling.queries.feeds import center_feed_address
from scheduling.services.bookings import answer_booking
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of
from scheduling.services.effects import effects_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def old(make_space):
    return make_space(name="Main floor")


@pytest.fixture
def clinic(old, make_clinic):
    """Asked for, agreed to, and theirs."""
    row = make_clinic(old, status=Status.TENTATIVE)
    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=clock.now())
    row.refresh_from_db()
    return row


@pytest.fixture
def other(make_space):
    return make_space(name="Gym B")


@pytest.fixture
def move():
    def inner(clinic, space, **more):
        facts = replace(facts_of(clinic), center=space.center, space=space, **more)
        return change_clinic(clinic=clinic, facts=facts, now=clock.now())

    return inner


@pytest.fixture
def feed(stranger, settings):
    """The events in a center's calendar, as a calendar program reads them."""

    def inner(center):
        address = center_feed_address(center, clock.now()).removeprefix(settings.SITE_URL)
        answer = stranger.get(address)
        assert answer.status_code == 200
        return Calendar.from_ical(answer.content).walk("VEVENT")

    return inner


def test_the_center_that_was_left_reads_a_cancellation_of_the_very_event_it_had(clinic, old, other, move, feed):
    (before,) = feed(old.center)
    move(clinic, other)
    (after,) = feed(old.center)

    assert before["STATUS"] == "CONFIRMED" and after["STATUS"] == "CANCELLED"
    assert after["UID"] == before["UID"] == f"{clinic.uid}@{links.host()}"
    # RFC 5545 section 3.8.7.4: a revision has a higher SEQUENCE, or a program keeps what it has.
    assert after["SEQUENCE"] > before["SEQUENCE"]
    assert (after["DTSTART"].dt, after["DTEND"].dt) == (before["DTSTART"].dt, before["DTEND"].dt)
    assert "Main floor" in after["LOCATION"] and "Gym B" not in str(after) and other.center.name not in str(after)
    (there,) = feed(other.center)
    assert there["STATUS"] == "TENTATIVE" and there["UID"] == before["UID"]


def test_it_stays_cancelled_until_the_old_time_is_over_and_not_longer(clinic, old, other, move, feed, move_clock):
    ends = Booking.objects.get().period.upper
    move(clinic, other, day=clinic.day + timedelta(days=40))
    move_clock(ends - timedelta(minutes=1))
    assert [event["STATUS"] for event in feed(old.center)] == ["CANCELLED"]
    move_clock(ends + timedelta(minutes=1))
    assert feed(old.center) == []


def test_a_clinic_that_comes_back_is_there_once_and_above_what_was_cancelled(clinic, old, other, move, feed):
    seen = [feed(old.center)[0]]
    for space in (other, old, other, old):
        move(clinic, space)
        clinic.refresh_from_db()
        (event,) = feed(old.center)
        seen.append(event)

    assert [event["STATUS"] for event in seen[1:]] == ["CANCELLED", "TENTATIVE", "CANCELLED", "TENTATIVE"]
    numbers = [event["SEQUENCE"] for event in seen]
    assert numbers == sorted(set(numbers)) and len({event["UID"] for event in seen}) == 1


def test_a_move_within_the_center_leaves_no_space_behind(clinic, old, make_space, move, feed):
    move(clinic, make_space(old.center, name="Small floor"), day=clinic.day + timedelta(days=1))

    (event,) = feed(old.center)
    assert event["STATUS"] == "TENTATIVE" and "Small floor" in event["LOCATION"] and not FormerBooking.objects.exists()


def test_cancelled_at_the_new_center_it_stays_cancelled_once_at_the_old(clinic, old, other, move, feed):
    moved = move(clinic, other)
    cancel_clinic(clinic=moved, because="Snow", now=clock.now())

    for center in (old.center, other.center):
        assert [event["STATUS"] for event in feed(center)] == ["CANCELLED"]


def test_a_center_that_had_said_no_keeps_its_cancelled_event_and_gets_no_second(old, other, make_clinic, feed):
    clinic = make_clinic(old, status=Status.TENTATIVE)
    facts = replace(facts_of(clinic), center=other.center, space=other)
    answer_booking(booking=Booking.objects.get(), answer=Answer.NOT_POSSIBLE, now=clock.now())
    change_clinic(clinic=clinic, facts=facts, now=clock.now())

    assert [event["STATUS"] for event in feed(old.center)] == ["CANCELLED"] and not FormerBooking.objects.exists()


def test_looking_at_what_a_move_would_do_leaves_no_trace(clinic, old, other, move, feed):
    effects_of(lambda: move(clinic, other), [clinic])

    assert not FormerBooking.objects.exists() and [event["STATUS"] for event in feed(old.center)] == ["CONFIRMED"]


def test_queries_do_not_grow_with_spaces_that_were_left(
    clinic, old, other, make_clinic, move, stranger, settings, django_assert_num_queries
):
    for number in range(6):
        move(make_clinic(old, days=20 + number), other)
    address = center_feed_address(old.center, clock.now()).removeprefix(settings.SITE_URL)
    with django_assert_num_queries(4):  # the center, its clinics, their holds, and what was left
        assert stranger.get(address).content.count(b"STATUS:CANCELLED") == 6
