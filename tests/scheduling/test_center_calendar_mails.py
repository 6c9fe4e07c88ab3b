"""A center's calendar hears the same by mail as from its feed.

UID, SEQUENCE and STATUS by RFC 5545, METHOD by RFC 5546 sections 3.2.2 and 3.2.5, read by icalendar.
"""

from dataclasses import replace
from datetime import timedelta

import pytest
from icalendar import Calendar

from clinics.models import Status
from core import clock
from outbox.services.sending import send_due
from scheduling.letters.bookings import BOOKING_CALLED_OFF
from scheduling.models import Answer, Booking
from scheduling.queries.feeds import center_events
from scheduling.services.bookings import answer_booking, ask_center
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of
from scheduling.services.notes_to_centers import note_to_center

pytestmark = pytest.mark.django_db


@pytest.fixture
def clinic(make_space, make_clinic):
    clinic = make_clinic(make_space(name="Main floor"), status=Status.TENTATIVE, days=20)
    ask_center(Booking.objects.get(clinic=clinic), clock.now())
    return clinic


@pytest.fixture
def said(mailoutbox):
    """The one letter to a center that is due now: its method and its event."""

    def inner():
        mailoutbox.clear()
        send_due()
        parts = [part for mail in mailoutbox for part, kind in mail.alternatives if kind.startswith("text/calendar")]
        assert len(parts) == 1, [mail.subject for mail in mailoutbox]
        calendar = Calendar.from_ical(parts[0])
        (event,) = calendar.walk("VEVENT")
        return str(calendar["METHOD"]), event

    return inner


def same(event, center):
    """Whether the center's feed says the same of it now."""
    (feed,) = [one for one in center_events(center, clock.now()) if one.uid == str(event["UID"])]
    ours = (event["SEQUENCE"], event["DTSTART"].dt, event["DTEND"].dt, str(event["STATUS"]), str(event["SUMMARY"]))
    return ours == (feed.sequence, feed.starts_at, feed.ends_at, feed.status, feed.summary)


def change(clinic, **more):
    change_clinic(clinic=clinic, facts=replace(facts_of(clinic), **more), now=clock.now())
    clinic.refresh_from_db()


def test_asked_moved_shortened_and_cancelled_are_one_event_whose_sequence_rises(clinic, said):
    center = clinic.center
    method, asked = said()
    assert method == "REQUEST" and asked["STATUS"] == "TENTATIVE" and same(asked, center)
    assert "mailto:" in str(asked["ATTENDEE"]) and asked["ATTENDEE"].params["PARTSTAT"] == "NEEDS-ACTION"

    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=clock.now())
    clinic.refresh_from_db()
    starts = (clinic.local_start + timedelta(minutes=15)).time()
    change(clinic, starts=starts)
    method, shorter = said()
    assert method == "REQUEST" and shorter["STATUS"] == "CONFIRMED" and same(shorter, center)
    assert shorter["ATTENDEE"].params["PARTSTAT"] == "ACCEPTED"

    change(clinic, day=clinic.day + timedelta(days=7))
    method, moved = said()
    assert method == "REQUEST" and moved["STATUS"] == "TENTATIVE" and same(moved, center)
    assert moved["DTSTART"].dt - shorter["DTSTART"].dt == timedelta(days=7)

    cancel_clinic(clinic=clinic, because="The roof leaks.", now=clock.now())
    method, off = said()
    assert method == "CANCEL" and off["STATUS"] == "CANCELLED" and same(off, center)
    assert len({str(one["UID"]) for one in (asked, shorter, moved, off)}) == 1
    numbers = [one["SEQUENCE"] for one in (asked, shorter, moved, off)]
    assert numbers == sorted(set(numbers))


def test_the_center_that_a_clinic_leaves_has_it_cancelled_and_the_other_is_asked(clinic, said, make_space, mailoutbox):
    _, asked = said()
    answer_booking(booking=Booking.objects.get(), answer=Answer.AGREED, now=clock.now())
    clinic.refresh_from_db()
    old, new = clinic.center, make_space(name="Gym B")
    change(clinic, center=new.center, space=new)
    mailoutbox.clear()
    send_due()
    found = {}
    for mail in mailoutbox:
        for part, kind in mail.alternatives:
            if kind.startswith("text/calendar"):
                calendar = Calendar.from_ical(part)
                found[str(calendar["METHOD"])] = calendar.walk("VEVENT")[0]

    assert same(found["CANCEL"], old) and same(found["REQUEST"], new.center)
    assert found["CANCEL"]["UID"] == found["REQUEST"]["UID"] == asked["UID"]
    assert found["CANCEL"]["SEQUENCE"] > asked["SEQUENCE"]


def test_a_space_given_back_while_the_center_holds_another_cancels_nothing(clinic, said, make_space, mailoutbox):
    said()
    booking = Booking.objects.get()
    answer_booking(booking=booking, answer=Answer.NOT_POSSIBLE, now=clock.now())
    booking.refresh_from_db()
    second = make_space(center=clinic.center, name="Small gym")
    Booking.objects.create(
        clinic=clinic, space=second, status=Status.TENTATIVE, period=booking.period, asked_at=clock.now()
    )
    note_to_center(kind=BOOKING_CALLED_OFF, booking=booking, summary="Given back", now=clock.now())
    mailoutbox.clear()
    send_due()
    (mail,) = mailoutbox
    assert not [kind for _, kind in mail.alternatives if "calendar" in kind]
