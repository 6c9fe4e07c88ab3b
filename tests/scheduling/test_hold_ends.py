"""A floor that nobody answers for: a word to the center first, then it is given back, and Ahead says so."""

from datetime import time, timedelta

import pytest
from django.conf import settings
from django.urls import reverse

from clinics.models import Clinic, Status
from core import clock, links
from core.formats import full_day, long_day
from outbox.letters import build
from outbox.models import Note
from outbox.services.sending import send_due
from scheduling.letters.bookings import BOOKING_CALLED_OFF, HOLD_ENDING
from scheduling.models import Booking
from scheduling.queries.hold_ends import WARN_DAYS
from scheduling.services.bookings import ask_center_again
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import ClinicFacts
from scheduling.services.hold_ends import end_old_holds


@pytest.fixture
def waiting(make_clinic):
    clinic = make_clinic(days=40, status=Status.TENTATIVE)
    return Booking.objects.get(clinic=clinic)


def asked_days_ago(booking, days):
    Booking.objects.filter(pk=booking.pk).update(asked_at=clock.now() - timedelta(days=days, hours=1))


def end_told_hold(booking):
    """The word that it ends, and three days later its end; returns how many ended then."""
    asked_days_ago(booking, settings.HOLD_DAYS - WARN_DAYS)
    assert end_old_holds(now=clock.now()) == 0
    return end_old_holds(now=clock.now() + timedelta(days=WARN_DAYS, minutes=1))


def test_a_fresh_question_is_left_alone(waiting):
    asked_days_ago(waiting, settings.HOLD_DAYS - WARN_DAYS - 1)

    assert end_old_holds(now=clock.now()) == 0 and not Note.objects.exists()


def test_three_days_before_the_center_is_told_once_with_the_day(waiting, mailoutbox):
    asked_days_ago(waiting, settings.HOLD_DAYS - WARN_DAYS)
    end_old_holds(now=clock.now())
    end_old_holds(now=clock.now())
    assert [note.kind for note in Note.objects.all()] == [HOLD_ENDING]

    send_due()

    waiting.refresh_from_db()
    # Never less than so many days after this word, read on the center's wall.
    ends = (Note.objects.get().written_at + timedelta(days=WARN_DAYS)).astimezone(waiting.clinic.center.tz)
    assert full_day(ends.date()) in mailoutbox[0].body and "/c/" in mailoutbox[0].body
    assert waiting.status == Status.TENTATIVE


def test_then_the_space_is_given_back_the_link_ends_and_ahead_says_so(waiting, coordinator, signed_in, stranger):
    token = links.make("booking", subject=waiting.pk, counter=waiting.link_counter, expires_at=waiting.clinic.starts_at)

    assert end_told_hold(waiting) == 1
    assert end_old_holds(now=clock.now() + timedelta(days=WARN_DAYS, minutes=2)) == 0

    waiting.refresh_from_db()
    assert waiting.status == Status.CANCELLED
    assert Clinic.objects.get(pk=waiting.clinic_id).status == Status.TENTATIVE
    waits = Note.objects.filter(state="waiting")
    assert [note.kind for note in waits] == [BOOKING_CALLED_OFF]
    assert stranger.get(reverse("booking-answer", args=[token])).status_code == 410
    assert "didn’t answer in time" in signed_in(coordinator).get(reverse("ahead")).content.decode()


def test_where_nothing_ran_on_the_day_the_word_still_comes_three_days_before_the_end(waiting, mailoutbox):
    asked_days_ago(waiting, settings.HOLD_DAYS + 4)
    assert end_old_holds(now=clock.now()) == 0 and end_old_holds(now=clock.now()) == 0

    send_due()

    tz = waiting.clinic.center.tz
    ends = (Note.objects.get().written_at + timedelta(days=WARN_DAYS)).astimezone(tz)
    assert f"until {full_day(ends.date())}" in mailoutbox[0].body
    assert end_old_holds(now=clock.now() + timedelta(days=WARN_DAYS, hours=-1)) == 0
    assert end_old_holds(now=clock.now() + timedelta(days=WARN_DAYS, minutes=1)) == 1


def test_a_space_is_held_no_longer_than_until_its_clinic(make_clinic, mailoutbox):
    clinic = make_clinic(days=1, status=Status.TENTATIVE)
    asked_days_ago(Booking.objects.get(clinic=clinic), settings.HOLD_DAYS - WARN_DAYS)
    end_old_holds(now=clock.now())

    send_due()

    assert f"until {full_day(clinic.day)}" in mailoutbox[0].body


def test_asked_again_the_center_has_all_its_days_once_more(waiting):
    asked_days_ago(waiting, settings.HOLD_DAYS - WARN_DAYS)
    end_old_holds(now=clock.now())
    ask_center_again(booking=waiting, now=clock.now() + timedelta(seconds=1))

    assert end_old_holds(now=clock.now() + timedelta(days=WARN_DAYS, hours=1)) == 0
    assert Note.objects.filter(kind=HOLD_ENDING, state="waiting").count() == 0, "it would name another day"


def test_an_answered_or_past_one_is_left_alone(waiting, make_clinic):
    asked_days_ago(waiting, 100)
    Booking.objects.filter(pk=waiting.pk).update(status=Status.CONFIRMED, answer="agreed")
    gone = Booking.objects.get(clinic=make_clinic(days=-3, status=Status.TENTATIVE))
    asked_days_ago(gone, 100)

    assert end_old_holds(now=clock.now()) == 0


def test_the_letter_names_the_day_that_was_held_and_does_not_say_that_the_clinic_is_cancelled(waiting):
    assert end_told_hold(waiting) == 1
    note = Note.objects.get(kind=BOOKING_CALLED_OFF)
    clinic = Clinic.objects.select_related("center").get(pk=waiting.clinic_id)
    held, later = clinic.day, clinic.day + timedelta(days=3)
    mail = build(note, clock.now())
    assert "cancelled" not in mail.body and "didn’t get an answer" in mail.body

    # The letter waits for the mail server while the office asks for another day.
    facts = ClinicFacts(clinic.center, waiting.space, later, time(15), time(17), [(7, 10, 16)])
    change_clinic(clinic=clinic, facts=facts, now=clock.now())

    mail = build(Note.objects.get(pk=note.pk), clock.now())
    assert long_day(held) in mail.subject and long_day(held) in mail.body and "09:00 to 12:00" in mail.body
    assert long_day(later) not in f"{mail.subject}{mail.body}"


def test_the_letter_of_a_cancelled_clinic_says_why(waiting):
    cancel_clinic(clinic=waiting.clinic, because="The hall is flooded", now=clock.now())

    body = build(Note.objects.get(kind=BOOKING_CALLED_OFF), clock.now()).body

    assert "The clinic is cancelled: The hall is flooded" in body and "get an answer" not in body
