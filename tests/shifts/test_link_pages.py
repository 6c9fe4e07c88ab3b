"""Pages by link: a GET asks, only a POST answers, and a link that can't be used says what to do."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clinics.models import Status
from core import clock, links
from scheduling.models import Answer, Booking
from scheduling.services.cancelling import cancel_clinic
from shifts.models import Reply
from shifts.services.cover import release_volunteer
from tests.clock import at


@pytest.fixture
def asked(make_assignment):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    return row, reverse("shift-reply", args=[token])


@pytest.fixture
def held(make_clinic):
    clinic = make_clinic(status=Status.TENTATIVE)
    booking = Booking.objects.get()
    token = links.make("booking", subject=booking.pk, counter=booking.link_counter, expires_at=clinic.starts_at)
    return booking, reverse("booking-answer", args=[token])


def test_opening_the_link_changes_nothing_however_often(asked, stranger):
    row, address = asked

    pages = [stranger.get(address) for _ in range(3)] + [stranger.head(address)]

    row.refresh_from_db()
    assert [page.status_code for page in pages] == [200] * 4
    assert row.reply == Reply.NEEDS_ACTION and not row.replies.exists()


def test_the_page_says_where_when_who_with_and_what_to_bring(asked, stranger):
    row, address = asked
    clinic = row.shift.clinic

    text = stranger.get(address).content.decode()

    for fact in (clinic.center.name, clinic.center.arrival, "09:30 to 11:30", "please arrive by 09:00", "16 children",
                 "ages 7 to 10", clinic.bring):  # fmt: skip
        assert fact in text


def test_yes_is_recorded_once_and_the_page_thanks(asked, stranger):
    row, address = asked

    answer = stranger.post(address, {"answer": "yes"}, follow=True)
    stranger.post(address, {"answer": "yes"})

    row.refresh_from_db()
    assert row.reply == Reply.ACCEPTED and row.replies.count() == 1
    assert "You’re scheduled for" in answer.content.decode()


def test_a_mind_can_be_changed_until_the_clinic_starts(asked, stranger):
    row, address = asked
    stranger.post(address, {"answer": "yes"})
    stranger.post(address, {"answer": "no"})
    row.refresh_from_db()
    assert row.reply == Reply.DECLINED

    with at(row.shift.clinic.starts_at + timedelta(minutes=1), tick=False):
        late = stranger.post(address, {"answer": "yes"})

    row.refresh_from_db()
    assert row.reply == Reply.DECLINED
    assert late.status_code == 409 and "started" in late.content.decode()


def test_another_word_than_yes_or_no_is_answered_with_what_to_do(asked, stranger):
    _, address = asked

    answer = stranger.post(address, {"answer": "perhaps"})

    assert answer.status_code == 409 and "Choose yes or no" in answer.content.decode()


@pytest.mark.parametrize("spoil", [lambda t: t[:-3], lambda t: t + "x", lambda t: t.swapcase(), lambda t: "a" * 5000])
def test_an_altered_link_gets_a_kind_page_and_nothing_happens(asked, stranger, spoil):
    row, address = asked
    token = address.rstrip("/").rsplit("/", 1)[-1]

    answer = stranger.post(reverse("shift-reply", args=[spoil(token)]), {"answer": "yes"})

    row.refresh_from_db()
    assert answer.status_code == 404 and "This link is incomplete" in answer.content.decode()
    assert row.reply == Reply.NEEDS_ACTION


def test_a_link_for_one_question_answers_no_other(asked, stranger):
    row, _ = asked
    other = links.make("booking", subject=row.pk, counter=0, expires_at=row.shift.clinic.ends_at)

    assert stranger.get(reverse("shift-reply", args=[other])).status_code == 404


def test_a_link_runs_out_at_the_clinics_end(asked, stranger):
    row, address = asked

    with at(row.shift.clinic.ends_at, tick=False):
        answer = stranger.get(address)

    assert answer.status_code == 410 and "This link has expired" in answer.content.decode()


def test_a_released_persons_link_is_replaced(asked, stranger):
    row, address = asked
    release_volunteer(assignment=row, because="plans changed", now=clock.now())

    answer = stranger.post(address, {"answer": "yes"})

    assert answer.status_code == 410 and "has been replaced" in answer.content.decode()


def test_a_cancelled_clinics_link_says_so(asked, stranger):
    row, address = asked
    cancel_clinic(clinic=row.shift.clinic, because="The heating failed", now=clock.now())

    text = stranger.get(address).content.decode()

    assert "This clinic is cancelled" in text and "The heating failed" in text
    assert "<button" not in text


def test_many_altered_links_from_one_address_are_slowed_and_good_ones_cost_nothing(asked, stranger):
    _, address = asked
    from_gym = {"REMOTE_ADDR": "192.0.2.77"}
    for _ in range(links.TRIES_PER_WINDOW):
        assert stranger.get(address, **from_gym).status_code == 200
    for _ in range(links.TRIES_PER_WINDOW):
        stranger.get(reverse("shift-reply", args=["made-up"]), **from_gym)

    answer = stranger.get(reverse("shift-reply", args=["made-up"]), **from_gym)

    assert answer.status_code == 429 and "Wait five minutes" in answer.content.decode()


def test_the_center_agrees_and_the_clinic_is_confirmed(held, stranger):
    booking, address = held
    assert stranger.get(address).status_code == 200
    booking.refresh_from_db()
    assert booking.answer == Answer.NONE

    answer = stranger.post(address, {"answer": "agreed"}, follow=True)

    booking.clinic.refresh_from_db()
    assert booking.clinic.status == Status.CONFIRMED
    assert "It’s booked" in answer.content.decode()


def test_a_used_booking_link_shows_what_was_answered_and_offers_no_second_answer(held, stranger):
    booking, address = held
    stranger.post(address, {"answer": "not possible", "words": "The floor is being varnished"})

    text = stranger.get(address).content.decode()
    again = stranger.post(address, {"answer": "agreed"})

    booking.refresh_from_db()
    assert booking.answer == Answer.NOT_POSSIBLE
    assert "Thank you for telling us" in text and "<button" not in text
    assert again.status_code == 422 and "already have your answer" in again.content.decode()


def test_another_time_keeps_what_was_typed_when_something_is_missing(held, stranger):
    booking, address = held

    answer = stranger.post(
        address,
        {"answer": "another time", "day": "2026-02-30", "starts": "14:00", "ends": "", "words": "Fair day"},
    )

    text = answer.content.decode()
    booking.refresh_from_db()
    assert answer.status_code == 422 and booking.answer == Answer.NONE
    assert "Enter the date as year-month-day" in text and "Enter the end time that works for you" in text
    assert "Fair day" in text and 'value="14:00"' in text


def test_another_time_comes_back_as_a_suggestion(held, stranger):
    booking, address = held
    day = booking.clinic.day + timedelta(days=7)

    answer = stranger.post(
        address,
        {"answer": "another time", "day": day.isoformat(), "starts": "14:00", "ends": "16:00"},
        follow=True,
    )

    booking.refresh_from_db()
    assert booking.answer == Answer.ANOTHER_TIME
    assert "Thank you for the suggestion" in answer.content.decode()
