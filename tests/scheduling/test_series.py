"""A series of clinics: every date looked at first, the free ones held at once, one letter, and the rest called off."""

from collections import Counter
from dataclasses import replace
from datetime import time, timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic, Status
from core import clock
from core.refusal import Refusal
from outbox.models import Note
from outbox.services.sending import send_due
from scheduling.letters.bookings import BOOKING_ASK, BOOKING_ASK_MANY
from scheduling.models import Answer, Booking
from scheduling.services.bookings import answer_booking
from scheduling.services.changing import change_clinic, change_rest
from scheduling.services.clinic_facts import facts_of
from scheduling.services.series import book_series, look_at_series
from shifts.queries.shift_needs import shift_count
from shifts.services.shifts import fit_shifts, set_hand_needs


@pytest.fixture
def clinic(make_clinic):
    return make_clinic(days=7)


def weeks(clinic, *numbers):
    return [clinic.day + timedelta(weeks=number) for number in numbers]


def test_every_date_is_looked_at_before_anything_is_saved(clinic, coordinator, signed_in, make_clinic):
    space = Booking.objects.get(clinic=clinic).space
    other = make_clinic(space, days=21)
    client = signed_in(coordinator)

    address, row = reverse("clinic-repeat", args=[clinic.pk]), {"pattern": "weekly", "count": 4}
    look = client.post(address, row)
    page = look.content.decode()

    assert "2 of 3 are free" in page and "is reserved" in page
    assert Clinic.objects.count() == 2
    again = client.post(address, row | {"confirmed": look.context["seen"] + "x"})
    assert (
        "The free dates have changed since you opened the page" in again.content.decode()
        and Clinic.objects.count() == 2
    )
    client.post(address, row | {"confirmed": look.context["seen"]})

    made = Clinic.objects.exclude(pk__in=[clinic.pk, other.pk])
    assert sorted(row.day for row in made) == weeks(clinic, 1, 3)
    assert set(Clinic.objects.exclude(pk=other.pk).values_list("series", flat=True)) == {made[0].series}
    assert all(row.shifts.count() > 0 and row.local_start.time() == clinic.local_start.time() for row in made)


def test_the_center_answers_each_date_from_one_mail(clinic, mailoutbox):
    made = book_series(clinic=clinic, days=weeks(clinic, 1, 2, 3, 4), now=clock.now())
    assert [note.kind for note in Note.objects.all()] == [BOOKING_ASK_MANY]
    answer_booking(booking=Booking.objects.get(clinic=made[0]), answer=Answer.AGREED, now=clock.now())
    answer_booking(booking=Booking.objects.get(clinic=made[1]), answer=Answer.NOT_POSSIBLE, now=clock.now())

    send_due()

    (mail,) = mailoutbox
    assert mail.subject.endswith("on 2 days?") and mail.body.count("/c/") == 2
    statuses = [Clinic.objects.get(pk=row.pk).status for row in made]
    assert statuses == [Status.CONFIRMED, Status.TENTATIVE, Status.TENTATIVE, Status.TENTATIVE]


def test_somebody_faster_means_none_is_held(clinic, make_clinic):
    days = weeks(clinic, 1, 2)
    assert all(one.refusal is None for one in look_at_series(clinic=clinic, days=days, now=clock.now()))
    make_clinic(Booking.objects.get(clinic=clinic).space, days=21)

    make_clinic(Booking.objects.get(clinic=clinic).space, days=14)
    with pytest.raises(Refusal, match="is reserved") as refused:
        book_series(clinic=clinic, days=days, now=clock.now())

    assert len(refused.value.reasons) == 2, "every day that can't be is named"
    assert Clinic.objects.count() == 3 and Clinic.objects.get(pk=clinic.pk).series is None


def test_this_and_the_later_ones_are_called_off_together(clinic, coordinator, signed_in):
    made = book_series(clinic=clinic, days=weeks(clinic, 1, 2), now=clock.now())
    client = signed_in(coordinator)
    address = reverse("clinic-cancel", args=[made[0].pk])
    assert "all later clinics in this series" in client.get(address).content.decode()

    look = client.get(address)
    client.post(address, {"because": "the gym closes", "rest": "on", "seen_rest": look.context["of_rest"].fingerprint})

    assert [Clinic.objects.get(pk=row.pk).live for row in (clinic, *made)] == [True, False, False]
    alone = reverse("clinic-cancel", args=[clinic.pk])
    client.post(alone, {"because": "snow", "seen": client.get(alone).context["effects"].fingerprint})
    assert not Clinic.objects.get(pk=clinic.pk).live


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Enter a last date or a number of clinics"),
        ({"until": "2020-01-01"}, "The last date is before the first"),
        ({"until": "2099-01-01"}, "up to 60 clinics"),
        ({"count": 3, "skip": "soon"}, "Enter each date as year-month-day"),
        ({"count": 3, "pattern": "hourly"}, "Select a valid choice"),
        ({"count": 2, "confirmed": "yes", "skip": "WEEK1"}, "There are no dates to book"),
    ],
)
def test_a_row_that_cannot_be_is_told(clinic, coordinator, signed_in, typed, sentence):
    if typed.get("skip") == "WEEK1":
        typed = typed | {"skip": weeks(clinic, 1)[0].isoformat()}

    answer = signed_in(coordinator).post(reverse("clinic-repeat", args=[clinic.pk]), {"pattern": "weekly"} | typed)

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert Clinic.objects.count() == 1


def test_only_who_books_clinics_repeats_them(clinic, floor_lead, stranger, signed_in):
    address = reverse("clinic-repeat", args=[clinic.pk])
    assert signed_in(floor_lead).get(address).status_code == 403
    assert stranger.get(address).status_code == 302


def test_a_date_whose_space_was_declined_moves_with_the_rest_and_is_asked_for_anew(clinic):
    made = book_series(clinic=clinic, days=weeks(clinic, 1, 2), now=clock.now())
    answer_booking(booking=Booking.objects.get(clinic=made[0]), answer=Answer.NOT_POSSIBLE, now=clock.now())
    clinic.refresh_from_db()
    facts = replace(facts_of(clinic), starts=time(14), ends=time(16))

    change_rest(clinic=clinic, facts=facts, now=clock.now())

    held = Booking.objects.live().get(clinic=made[0])
    assert held.space == facts.space and held.period.lower.astimezone(clinic.center.tz).time() == time(13, 30)
    assert Note.objects.about(held).filter(kind=BOOKING_ASK, state="waiting").exists()


def test_a_row_is_as_closed_to_families_and_as_staffed_as_the_clinic_it_is_made_after(clinic):
    Clinic.objects.filter(pk=clinic.pk).update(takes_families=False)
    fit_shifts(clinic)
    least = shift_count(clinic)
    set_hand_needs(clinic=clinic, people=dict(least | Counter({"coach": least["coach"] + 2})))

    made = book_series(clinic=clinic, days=weeks(clinic, 1, 2), now=clock.now())

    for row in made:
        assert not Clinic.objects.get(pk=row.pk).takes_families, "given out by the office alone, as the first"
        assert shift_count(row) == shift_count(clinic) and shift_count(row)["coach"] == least["coach"] + 2


def test_a_date_that_went_to_another_space_by_itself_keeps_it_when_only_the_hours_of_the_row_change(
    clinic, make_space, make_center
):
    made = book_series(clinic=clinic, days=weeks(clinic, 1, 2), now=clock.now())
    elsewhere = make_space(make_center("Harrow Bend Community House"))
    alone = replace(facts_of(made[0]), center=elsewhere.center, space=elsewhere)
    change_clinic(clinic=made[0], facts=alone, now=clock.now())
    clinic.refresh_from_db()

    change_rest(clinic=clinic, facts=replace(facts_of(clinic), starts=time(10)), now=clock.now())

    rows = Booking.objects.live().filter(clinic__in=[clinic, *made]).order_by("clinic__starts_at")
    first = rows[0].space
    assert [row.space for row in rows] == [first, elsewhere, first]
    assert [row.clinic.local_start.time() for row in rows] == [time(10)] * 3
    # A new floor is for all of them.
    clinic.refresh_from_db()
    third = make_space(first.center)
    change_rest(clinic=clinic, facts=replace(facts_of(clinic), space=third), now=clock.now())
    assert {row.space for row in rows.all()} == {third}
    assert {row.center for row in Clinic.objects.all()} == {third.center}
