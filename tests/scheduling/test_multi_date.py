"""One question for several dates: looked at first, one letter, and each day answered by itself."""

from dataclasses import replace
from datetime import time, timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic
from core import clock, links
from core.formats import long_day
from core.refusal import Refusal
from outbox.letters import Stale, build
from outbox.models import Note
from scheduling.letters.bookings import BOOKING_ASK_MANY, SPACE_RELEASED
from scheduling.models import Booking, BookingRequest
from scheduling.services.bookings import answer_booking
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import ClinicFacts, facts_of
from scheduling.services.multi_date import ask_dates, look_at_dates
from scheduling.services.series import book_series

pytestmark = pytest.mark.django_db


@pytest.fixture
def dates(make_space):
    space = make_space()
    first = clock.today(space.center.tz) + timedelta(days=20)

    def inner(*offsets, starts=time(9, 30), ends=time(11, 30)):
        return [
            ClinicFacts(space.center, space, first + timedelta(days=days), starts, ends, [(7, 10, 16)])
            for days in offsets
        ]

    return inner


@pytest.fixture
def asked(dates, now):
    """Four dates in one question, and the address of its page."""
    made = ask_dates(dates=dates(0, 3, 9, 20), now=now)
    booking_request = BookingRequest.objects.get()
    token = links.make("booking_request", subject=booking_request.pk, counter=0, expires_at=now + timedelta(days=60))
    return made, reverse("booking-request", args=[token])


def test_four_dates_are_held_and_the_center_gets_one_letter_with_one_page_and_a_link_for_each(asked, now):
    made, _ = asked
    note = Note.objects.get()
    mail = build(note, now)

    assert note.kind == BOOKING_ASK_MANY and note.number_of(Clinic) is None
    assert Booking.objects.live().filter(booking_request__isnull=False).count() == len(made) == 4
    assert mail.body.count("/c/") == 4 and mail.body.count("/d/") == 1


def test_dates_are_looked_at_together_and_nothing_is_kept(dates, make_clinic, now):
    wanted = dates(0, 0, 5)
    make_clinic(wanted[0].space, days=25)
    found = look_at_dates(dates=wanted, now=now)

    assert [one.refusal is None for one in found] == [True, False, False]
    assert "within these hours" in str(found[1].refusal), "the nearest free hours are offered"
    assert Clinic.objects.count() == 1 and not BookingRequest.objects.exists() and not Note.objects.exists()


def test_one_date_that_can_not_be_keeps_all_from_being_held(dates, make_clinic, now):
    wanted = dates(0, 5)
    make_clinic(wanted[0].space, days=25)
    with pytest.raises(Refusal) as refused:
        ask_dates(dates=wanted, now=now)

    assert [reason.field for reason in refused.value.reasons] == ["day_2"] and Clinic.objects.count() == 1


def answer(made, number, what, **more):
    row = Booking.objects.live().get(clinic=made[number])
    pk = row.pk
    facts = {f"d{pk}-answer": what} | {f"d{pk}-{name}": value for name, value in more.items()}
    return {"booking": pk, "asked": row.link_counter} | facts


def test_each_day_is_answered_by_itself_on_one_page(asked, stranger):
    made, address = asked
    assert "on 4 days?" in stranger.get(address).content.decode()
    stranger.post(address, answer(made, 0, "agreed"))
    stranger.post(address, answer(made, 1, "not possible"))
    day = made[2].day + timedelta(days=1)
    stranger.post(address, answer(made, 2, "another time", day=day, starts="14:00", ends="16:00"))
    page = stranger.get(address).content.decode()

    assert "on 1 day?" in page and page.count("Yes on ") == 1
    answers = [Booking.objects.filter(clinic=one).latest("pk").answer for one in made]
    assert answers == ["agreed", "not possible", "another time", ""]


def test_pressing_twice_changes_nothing_and_the_days_own_link_shows_the_same(asked, stranger, now):
    made, address = asked
    told = answer(made, 0, "agreed")
    assert stranger.post(address, told).status_code == stranger.post(address, told).status_code == 302
    row = Booking.objects.get(pk=told["booking"])
    token = links.make("booking", subject=row.pk, counter=row.link_counter, expires_at=made[0].starts_at)
    assert "It’s booked" in stranger.get(reverse("booking-answer", args=[token])).content.decode()


def test_what_was_typed_stays_with_its_day_when_it_can_not_be(asked, stranger):
    made, address = asked
    said = stranger.post(address, answer(made, 1, "another time", starts="14:00", ends="13:00"))

    page = said.content.decode()
    assert said.status_code == 422 and "Enter the day that works for you" in page and 'value="14:00"' in page


def test_a_time_that_is_being_typed_is_judged_live_and_nothing_is_written(asked, stranger, make_clinic):
    made, address = asked
    row = Booking.objects.live().get(clinic=made[1])
    check = f"{address}check/{row.pk}/"

    def says(**typed):
        return stranger.get(check, {f"d{row.pk}-{name}": value for name, value in typed.items()}).content.decode()

    assert "That time works for us." in says(day=made[1].day, starts="14:00", ends="16:00")
    assert "already reserved your space then" in says(day=made[2].day, starts="10:00", ends="12:00")
    assert says(day="", starts="14:00", ends="").strip() == ""
    row.clinic.center.closed_days.create(first_day=made[1].day, last_day=made[1].day, why="Spring fair")
    assert "closed" in says(day=made[1].day, starts="14:00", ends="16:00")
    assert not Booking.objects.exclude(answer="").exists()


def test_the_letter_outlives_a_day_that_is_cancelled_before_it_goes_and_drops_with_the_last(asked, now):
    made, _ = asked
    note = Note.objects.get(kind=BOOKING_ASK_MANY)
    cancel_clinic(clinic=made[0], because="snow", now=now)
    note.refresh_from_db()
    assert note.state == "waiting" and build(note, now).body.count("/c/") == 3
    for one in made[1:]:
        answer_booking(booking=Booking.objects.live().get(clinic=one), answer="agreed", now=now)
    with pytest.raises(Stale):
        build(note, now)


def test_a_link_of_another_question_or_a_strangers_number_answers_nothing(asked, stranger, make_clinic):
    address = asked[1]
    other = Booking.objects.get(clinic=make_clinic(status="tentative"))
    stranger.post(address, {"booking": other.pk, f"d{other.pk}-answer": "agreed"})
    other.refresh_from_db()
    assert other.answer == ""
    assert stranger.get(address[:-3] + "x/").status_code == 404
    assert stranger.get(f"{address}check/{other.pk}/").content == b""


def typed(dates, **more):
    first, *others = dates
    data = {
        "center": first.center.pk, "space": first.space.pk, "ratio_table": "aca_day_camp",
        "youngest_1": 7, "oldest_1": 10, "children_1": 16,
        "day_1": first.day, "starts_1": "09:30", "ends_1": "11:30",
    }  # fmt: skip
    for number, one in enumerate(others, start=2):
        data[f"day_{number}"] = one.day
    return data | more


def test_the_page_looks_first_and_then_holds_the_free_ones(dates, make_clinic, coordinator, signed_in, stranger):
    wanted = dates(0, 5, 8)
    make_clinic(wanted[0].space, days=25)
    client, address = signed_in(coordinator), reverse("clinics-multi-date")
    assert stranger.get(address).status_code == 302
    look = client.post(address, typed(wanted, starts_3="14:00", ends_3="16:00"))
    page = look.content.decode()
    assert "2 of 3 are free" in page and "14:00 to 16:00" in page and Clinic.objects.count() == 1

    seen = look.context["seen"]
    other = client.post(address, typed(wanted, starts_3="15:00", ends_3="17:00", confirmed=seen))
    assert (
        "The free dates have changed since you opened the page" in other.content.decode()
        and Clinic.objects.count() == 1
    )
    done = client.post(address, typed(wanted, starts_3="14:00", ends_3="16:00", confirmed=seen))
    assert done.status_code == 302 and Clinic.objects.count() == 3
    wrong = client.post(address, typed(wanted, starts_4="10:00"))
    assert wrong.status_code == 422 and "Enter a day for these times" in wrong.content.decode()


def test_a_yes_for_an_hour_that_was_moved_while_the_page_was_open_counts_for_nothing(asked, stranger, now):
    made, address = asked
    told = answer(made, 0, "agreed")
    fresh = Clinic.objects.select_related("center").get(pk=made[0].pk)
    change_clinic(clinic=fresh, facts=replace(facts_of(fresh), starts=time(15), ends=time(17)), now=now)
    said = stranger.post(address, told)

    row = Booking.objects.live().get(clinic=fresh)
    assert said.status_code == 422 and "We changed our request" in said.content.decode() and row.answer == ""
    for spoilt in ("", "x", "9" * 30):
        assert stranger.post(address, told | {"asked": spoilt}).status_code == 422
    stranger.post(address, answer(made, 0, "agreed"))
    row.refresh_from_db()
    assert row.answer == "agreed"


def test_a_day_that_goes_to_another_center_leaves_the_page_and_the_center_is_told_if_it_had_heard(
    asked, stranger, make_space, now
):
    made, address = asked
    Note.objects.update(state="sent", sent_at=now)
    other = make_space()
    fresh = Clinic.objects.select_related("center").get(pk=made[0].pk)
    old = fresh.center
    facts = replace(facts_of(fresh), center=other.center, space=other)
    change_clinic(clinic=fresh, facts=facts, now=now)

    row = Booking.objects.live().get(clinic=fresh)
    assert row.booking_request is None and f"day-{row.pk}" not in stranger.get(address).content.decode()
    stranger.post(address, answer(made, 0, "agreed"))
    row.refresh_from_db()
    assert row.answer == ""
    note = Note.objects.get(kind=SPACE_RELEASED)
    mail = build(note, now)
    assert note.to_email == old.booking_contact.email and other.center.name not in mail.body
    assert "09:30 to 11:30" not in mail.body and "moving to another location" in mail.body
    assert long_day(fresh.day) in mail.subject


def test_a_center_that_never_heard_of_the_question_is_not_told_that_it_is_taken_back(asked, make_space, now):
    made, _ = asked
    other = make_space()
    fresh = Clinic.objects.select_related("center").get(pk=made[0].pk)
    facts = replace(facts_of(fresh), center=other.center, space=other)
    change_clinic(clinic=fresh, facts=facts, now=now)
    assert not Note.objects.filter(kind=SPACE_RELEASED).exists()
    assert build(Note.objects.get(kind=BOOKING_ASK_MANY), now).body.count("/c/") == 3


def test_who_names_a_day_on_which_our_books_have_them_closed_reads_so(asked, stranger):
    made, address = asked
    made[0].center.closed_days.create(first_day=made[1].day, last_day=made[1].day, why="Spring fair")
    stranger.post(address, answer(made, 0, "another time", day=made[1].day, starts="14:00", ends="16:00"))
    assert "Our records say: " in stranger.get(address).content.decode()


def test_the_letter_of_several_days_names_the_space_and_the_children_of_each_that_differs(make_clinic, make_space, now):
    clinic = make_clinic(days=7)
    made = book_series(clinic=clinic, days=[clinic.day + timedelta(weeks=n) for n in (1, 2)], now=now)
    note = Note.objects.get(kind=BOOKING_ASK_MANY)
    assert build(note, now).body.count("16 children") == 1
    first = facts_of(made[0])
    small = make_space(clinic.center, name="Small hall")

    change_clinic(clinic=made[0], facts=replace(first, space=small, bands=[(7, 10, 8)]), now=now)

    mail = build(Note.objects.get(pk=note.pk), now)
    lines = mail.body.splitlines()
    assert [line for line in lines if line.endswith("Small hall, 8 children, ages 7 to 10")]
    assert [line for line in lines if line.endswith(f"{first.space.name}, 16 children, ages 7 to 10")]
    assert f"Small hall and {first.space.name}" in mail.body and "current clearances" not in mail.body
    answer_booking(booking=Booking.objects.get(clinic=made[1]), answer="agreed", now=now)
    assert str(build(Note.objects.get(pk=note.pk), now).subject) == "Can we use Small hall on 1 day?"
