"""Ahead, the clinics, one clinic, who could come: who may see them, and what they cost."""

import uuid
from datetime import UTC, time, timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic, Status
from core import clock
from core.rules.local_time import localize
from families.models import Guardian
from families.services.registering import register
from kits.models import Kit
from outbox.models import Note
from people.models import Clearance, DutyBook
from scheduling.models import Answer, Booking
from scheduling.queries.ahead import ahead_page
from scheduling.services.bookings import answer_booking
from shifts.models import Assignment, Reply


def fields(space, **more):
    day = clock.today(space.center.tz) + timedelta(days=14)
    return {
        "center": space.center.pk,
        "space": space.pk,
        "day": day.isoformat(),
        "starts": "09:30",
        "ends": "11:30",
        "youngest_1": 7,
        "oldest_1": 10,
        "children_1": 20,
        "theme": "Paper bridges",
        "ratio_table": "aca_day_camp",
    } | more


def test_one_form_books_a_clinic(coordinator, signed_in, make_space):
    space = make_space()

    answer = signed_in(coordinator).post(reverse("clinic-new"), fields(space), follow=True)

    assert "is reserved" in answer.content.decode()
    assert Clinic.objects.get().center == space.center


def test_the_form_comes_ready_for_the_center_it_was_opened_from(coordinator, signed_in, make_space):
    space = make_space()

    text = signed_in(coordinator).get(reverse("clinic-new") + f"?center={space.center.pk}").content.decode()

    assert f'value="{space.pk}" selected' in text.replace("  ", " ")


def test_a_taken_space_names_the_other_clinic_and_keeps_what_was_typed(coordinator, signed_in, make_space):
    space = make_space()
    client = signed_in(coordinator)
    client.post(reverse("clinic-new"), fields(space))

    answer = client.post(reverse("clinic-new"), fields(space, theme="Simple circuits"))

    text = answer.content.decode()
    assert answer.status_code == 422
    assert space.center.name in text and "is reserved" in text and "Simple circuits" in text
    assert Clinic.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"ends": "09:00"}, "The end must be after the start"),
        ({"day": "2020-01-04"}, "That start time has passed"),
        ({"day": "2027-02-30"}, "Enter the date as year-month-day"),
        ({"day": "2027-03-14", "starts": "02:30", "ends": "04:00"}, "doesn’t exist"),
        ({"starts": "half nine"}, "Enter a time such as"),
        ({"youngest_1": ""}, "This field is required"),
        ({"oldest_1": 6}, "6 is less than 7"),
        ({"youngest_2": 11}, "Fill in all three (from age"),
        ({"children_1": 100000}, "less than or equal to 500"),
        ({"space": "999999"}, "Select a valid choice"),
        ({"space": "'; drop table"}, "Select a valid choice"),
        ({"theme": "x" * 5000}, "at most 120 characters"),
        ({"theme": "nul\x00byte"}, "Null characters"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_nothing_is_lost(
    coordinator, signed_in, make_space, change, sentence
):
    space = make_space()

    answer = signed_in(coordinator).post(reverse("clinic-new"), fields(space, bring="x") | change)

    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not Clinic.objects.exists()


def test_a_space_of_another_center_is_said_so(coordinator, signed_in, make_space):
    here, there = make_space(), make_space()

    answer = signed_in(coordinator).post(reverse("clinic-new"), fields(here) | {"space": there.pk})

    assert "Choose a space at" in answer.content.decode() and not Clinic.objects.exists()


def test_a_suggestion_is_looked_at_and_then_taken(coordinator, signed_in, make_clinic, make_shift, make_assignment):
    clinic = make_clinic(status=Status.TENTATIVE)
    row = make_assignment(make_shift(clinic))
    booking = Booking.objects.get()
    answer_booking(
        booking=booking,
        answer=Answer.ANOTHER_TIME,
        suggested=(clinic.day, time(14), time(16)),
        now=clock.now(),
    )
    client = signed_in(coordinator)
    assert "suggested another time" in client.get(reverse("ahead")).content.decode()
    assert "Accept the suggested time" in client.get(reverse("clinic", args=[clinic.pk])).content.decode()

    address = reverse("booking-take-suggestion", args=[booking.pk])
    look = client.get(address)
    assert row.volunteer.name in look.content.decode()
    client.post(address)
    clinic.refresh_from_db()
    assert clinic.local_start.hour != 14, "looking does nothing, and nor does a press that saw nothing"
    client.post(address, {"seen": look.context["effects"].fingerprint})

    clinic.refresh_from_db()
    assert clinic.local_start.hour == 14 and clinic.status == Status.CONFIRMED


def test_a_page_that_changes_something_answers_no_get(coordinator, signed_in, make_assignment):
    row = make_assignment()
    client = signed_in(coordinator)
    for name, pk in (
        ("shift-ask", row.shift_id),
        ("assignment-release", row.pk),
        ("booking-ask-again", Booking.objects.get().pk),
    ):
        assert client.get(reverse(name, args=[pk])).status_code == 405


def pages(row):
    clinic = row.shift.clinic
    return {
        "ahead": reverse("ahead"),
        "clinics": reverse("clinics"),
        "clinic": reverse("clinic", args=[clinic.pk]),
        "clinic-new": reverse("clinic-new"),
        "clinic-change": reverse("clinic-change", args=[clinic.pk]),
        "clinic-cancel": reverse("clinic-cancel", args=[clinic.pk]),
        "shift-who": reverse("shift-who", args=[row.shift_id]),
    }


def test_a_stranger_is_sent_to_sign_in_everywhere(make_assignment, stranger):
    for address in pages(make_assignment()).values():
        answer = stranger.get(address)
        assert answer.status_code == 302 and answer["Location"].startswith("/log-in/")


def test_a_floor_lead_sees_clinics_and_may_change_none(make_assignment, floor_lead, signed_in):
    client = signed_in(floor_lead)
    got = {name: client.get(address).status_code for name, address in pages(make_assignment()).items()}

    assert {name for name, status in got.items() if status == 200} == {"clinics", "clinic"}
    assert {status for status in got.values() if status != 200} == {403}


def test_ahead_shows_each_kind_of_trouble_soonest_first(
    coordinator, signed_in, make_clinic, make_shift, make_assignment, make_center, make_volunteer
):
    open_clinic = make_clinic(days=3)
    make_shift(open_clinic, "first_aider")
    expiring = make_assignment(make_shift(make_clinic(days=5)), make_volunteer("Tobiah Quill"))
    Clearance.objects.filter(volunteer=expiring.volunteer, kind__code="conduct").update(
        expires_on=expiring.shift.clinic.day - timedelta(days=2)
    )
    waiting = make_clinic(days=9, status=Status.TENTATIVE)
    Booking.objects.filter(clinic=waiting).update(asked_at=clock.now() - timedelta(days=8))
    bag = Kit.objects.create(name="Bag 2", now_at=make_center("Far Hall"))
    bag.bookings.create(clinic=open_clinic, period=(open_clinic.starts_at, open_clinic.ends_at))

    text = signed_in(coordinator).get(reverse("ahead")).content.decode()

    told = [
        "still needs 1 person: first aider",
        "Bag 2 is at Far Hall",
        "Tobiah Quill isn’t cleared for",
        f"{waiting.center.name} hasn’t answered",
    ]
    places = [text.find(words) for words in told]
    assert -1 not in places, dict(zip(told, places, strict=True))
    assert places == sorted(places)
    assert "conduct training expires 2 days before this clinic" in text


def test_first_run_shows_the_one_next_step(coordinator, signed_in, make_center, make_volunteer):
    client = signed_in(coordinator)
    assert "Add the first center" in client.get(reverse("ahead")).content.decode()
    make_center()
    assert "Add the first volunteer" in client.get(reverse("ahead")).content.decode()
    make_volunteer()
    assert "Book the first clinic" in client.get(reverse("ahead")).content.decode()


def test_the_strip_shows_each_reply(coordinator, signed_in, make_clinic, make_shift, make_assignment):
    clinic = make_clinic()
    make_assignment(make_shift(clinic, "lead"), reply=Reply.ACCEPTED)
    make_assignment(make_shift(clinic, "coach"), reply=Reply.NEEDS_ACTION)
    make_shift(clinic, "door")

    text = signed_in(coordinator).get(reverse("clinic", args=[clinic.pk])).content.decode()

    for state in ("accepted", "asked", "open"):
        assert text.count(f'<li class="cell {state}"') == 1
    assert "1 of 3" in text


@pytest.mark.parametrize("page", ["ahead", "clinics", "clinic", "shift-who"])
def test_a_page_costs_the_same_queries_however_many_rows(
    page, coordinator, signed_in, make_clinic, make_shift, make_assignment, django_assert_max_num_queries,
    django_assert_num_queries,
):  # fmt: skip
    client = signed_in(coordinator)
    clinic = make_clinic(days=4)
    shift = make_shift(clinic)

    def more(times):
        for number in range(times):
            make_shift(clinic, "door")
            row = make_assignment(make_shift(clinic))
            Clearance.objects.filter(volunteer=row.volunteer, kind__code="conduct").update(expires_on=clock.today())
            make_assignment(make_shift(make_clinic(days=2 + number)), reply=Reply.NEEDS_ACTION)
            Assignment.objects.update(asked_at=clock.now() - timedelta(days=5))
            other = make_clinic(days=2 + number, status=Status.TENTATIVE)
            Booking.objects.filter(clinic=other).update(asked_at=clock.now() - timedelta(days=8))

    address = {
        "ahead": reverse("ahead"),
        "clinics": reverse("clinics"),
        "clinic": reverse("clinic", args=[clinic.pk]),
        "shift-who": reverse("shift-who", args=[shift.pk]),
    }[page]
    more(2)
    # Ahead asks each room of the house once.
    with django_assert_max_num_queries(48) as few:
        client.get(address)
    more(7)

    DutyBook.forget()
    with django_assert_num_queries(len(few)):
        client.get(address)


def test_notes_to_families_do_not_bury_the_answers_of_a_clinic(
    coordinator, signed_in, make_clinic, make_assignment, make_shift, household
):
    clinic = make_clinic(children=60)
    person = make_assignment(make_shift(clinic)).volunteer
    for _ in range(3):
        register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=clock.now())
    page = signed_in(coordinator).get(reverse("clinic", args=[clinic.pk])).content.decode()

    assert Note.objects.about(clinic).about_some(Guardian).count() == 3
    assert "Registration:" not in page and person.name in page
    assert "Registration:" in signed_in(coordinator).get(reverse("outbox")).content.decode()


def test_a_clinic_that_has_begun_says_that_registering_is_over(coordinator, signed_in, make_clinic):
    client, clinic = signed_in(coordinator), make_clinic()
    address = reverse("clinic", args=[clinic.pk])
    assert "View the public page" in client.get(address).content.decode()
    Clinic.objects.filter(pk=clinic.pk).update(
        starts_at=clock.now() - timedelta(hours=3), ends_at=clock.now() - timedelta(hours=1)
    )
    page = client.get(address).content.decode()
    assert "registration is closed" in page and "View the public page" not in page and "registration open" not in page


def test_a_question_of_an_evening_is_of_that_day_and_not_of_the_next(make_clinic, make_shift, make_assignment):
    """21:00 is already the next day in UTC; asked on Monday evening, it is three days old on Thursday."""
    row = make_assignment(make_shift(make_clinic(days=9)), reply=Reply.NEEDS_ACTION)
    tz = clock.home_zone()
    evening = localize(clock.today(), time(21), tz).astimezone(UTC)
    Assignment.objects.filter(pk=row.pk).update(asked_at=evening)

    def silent(days: int) -> bool:
        then = localize(clock.today() + timedelta(days=days), time(8), tz).astimezone(UTC)
        page = ahead_page(then, then.astimezone(tz).date())
        return any("hasn’t answered" in need.headline for need in page.needs)

    assert not silent(2) and silent(3)
