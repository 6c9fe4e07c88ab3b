"""A clinic is cancelled or moved in the moment in which its center answers; and long rows that clash."""

from dataclasses import replace
from datetime import time, timedelta

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from clinics.models import Center, Clinic
from core import clock
from core.refusal import Refusal
from scheduling.models import Booking
from scheduling.services.bookings import answer_booking, ask_center_again, confirm_agreed
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic, change_rest
from scheduling.services.clinic_facts import facts_of
from scheduling.services.series import book_series, look_at_series
from tests.faults.test_races import at_once
from tests.meanwhile import meanwhile


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("number", range(4))
def test_cancelled_while_the_center_answers_the_clinic_is_cancelled_and_its_space_free(make_clinic, number):
    clinic = make_clinic(status="tentative")
    booking = Booking.objects.get(clinic=clinic)
    calls = [
        lambda: answer_booking(booking=booking, answer="agreed", now=clock.now()),
        lambda: cancel_clinic(clinic=clinic, because="snow", now=clock.now()),
    ]
    out = at_once(*(calls if number % 2 else reversed(calls)))

    assert all(not isinstance(one, Exception) or isinstance(one, Refusal) for one in out), out
    clinic.refresh_from_db()
    assert clinic.status == "cancelled" and not Booking.objects.live().filter(clinic=clinic).exists()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("number", range(4))
def test_moved_while_the_center_answers_its_yes_holds_for_the_old_time_alone(make_clinic, number):
    clinic = make_clinic(status="tentative")
    booking = Booking.objects.get(clinic=clinic)
    later = facts_of(Clinic.objects.select_related("center").get(pk=clinic.pk))
    later = type(later)(**{**later.__dict__, "starts": time(14), "ends": time(16)})
    calls = [
        lambda: answer_booking(booking=booking, answer="agreed", now=clock.now()),
        lambda: change_clinic(clinic=clinic, facts=later, now=clock.now()),
    ]
    out = at_once(*(calls if number % 2 else reversed(calls)))

    assert all(not isinstance(one, Exception) or isinstance(one, Refusal) for one in out), out
    clinic.refresh_from_db()
    held = Booking.objects.live().get(clinic=clinic)
    assert clinic.local_start.hour == 14 and held.period.lower == clinic.starts_at - timedelta(minutes=30)
    # Either the answer came first and was asked anew, or it came to the new question: never a yes for another hour
    # in the books without its status saying so.
    assert (held.answer == "agreed") == (held.status == "confirmed") == (clinic.status == "confirmed")


@pytest.mark.django_db
def test_a_row_of_two_hundred_dates_half_of_which_clash_is_looked_at_in_bounded_work(make_clinic, make_space, now):
    space = make_space()
    first = make_clinic(space, days=2)
    days = [first.day + timedelta(days=day) for day in range(1, 201)]
    for day in range(1, 201, 2):
        make_clinic(space, days=2 + day)
    with CaptureQueriesContext(
        connection,
    ) as queries:
        found = look_at_series(clinic=first, days=days, now=now)

    clashes = [one for one in found if one.refusal is not None]
    assert len(found) == 200 and len(clashes) == 100
    assert all("within these hours" in str(one.refusal) for one in clashes)
    assert len(queries) <= 7 * 200 + 10, "a handful for each date, whatever stands on the others"
    assert Clinic.objects.count() == 101


@pytest.mark.django_db
def test_booking_or_moving_such_a_row_writes_nothing_and_names_every_day(make_clinic, make_space, now):
    space = make_space()
    first = make_clinic(space, days=2)
    days = [first.day + timedelta(days=day) for day in range(2, 61, 2)]
    book_series(clinic=first, days=days, now=now)
    for day in range(1, 62, 4):
        make_clinic(space, days=2 + day)
    before = list(Clinic.objects.order_by("pk").values_list("starts_at", flat=True))
    facts = facts_of(Clinic.objects.select_related("center").get(pk=first.pk))
    moved = type(facts)(**{**facts.__dict__, "day": facts.day + timedelta(days=1)})
    with pytest.raises(Refusal) as refused:
        change_rest(clinic=first, facts=moved, now=now)
    with pytest.raises(Refusal):
        book_series(clinic=first, days=[facts.day + timedelta(days=1)], now=now)

    assert len(refused.value.reasons) == 16
    assert list(Clinic.objects.order_by("pk").values_list("starts_at", flat=True)) == before


@pytest.mark.django_db(transaction=True)
def test_moved_while_the_safety_sheet_is_filled_a_clinic_is_not_confirmed_for_an_hour_nobody_agreed_to(make_clinic):
    clinic = make_clinic(status="tentative")
    Booking.objects.filter(clinic=clinic).update(status="confirmed", answer="agreed")
    later = replace(facts_of(Clinic.objects.select_related("center").get(pk=clinic.pk)), starts=time(14), ends=time(16))
    with meanwhile(lambda: change_clinic(clinic=clinic, facts=later, now=clock.now())):
        confirmed = confirm_agreed(clinic.center, clock.now())

    clinic.refresh_from_db()
    held = Booking.objects.live().get(clinic=clinic)
    assert (confirmed, clinic.status, held.status) == (0, "tentative", "tentative")


@pytest.mark.django_db(transaction=True)
def test_a_center_that_agrees_while_its_safety_sheet_is_filled_has_its_clinic_confirmed(make_clinic):
    clinic = make_clinic(status="tentative")
    center = clinic.center
    Center.objects.filter(pk=center.pk).update(hospital="")
    booking = Booking.objects.get(clinic=clinic)
    with meanwhile(lambda: answer_booking(booking=booking, answer="agreed", now=clock.now())), transaction.atomic():
        Center.objects.filter(pk=center.pk).update(hospital="Larkmoor General")
        confirm_agreed(Center.objects.get(pk=center.pk), clock.now())

    clinic.refresh_from_db()
    assert clinic.status == "confirmed"


@pytest.mark.django_db(transaction=True)
def test_moved_while_the_center_is_asked_again_neither_earlier_link_answers_for_the_new_hour(make_clinic):
    clinic = make_clinic(status="tentative")
    booking = Booking.objects.get(clinic=clinic)
    later = replace(facts_of(Clinic.objects.select_related("center").get(pk=clinic.pk)), starts=time(14), ends=time(16))
    with meanwhile(lambda: ask_center_again(booking=booking, now=clock.now())):
        change_clinic(clinic=clinic, facts=later, now=clock.now())

    booking.refresh_from_db()
    assert booking.link_counter == 2, "one for each question"
