"""Asking guardians to sign: 14, 7 and 2 days before, once each, and never after they have."""

import uuid
from datetime import time, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from clinics.models import Clinic
from config.celery import app
from core import clock, links
from families.letters.families import SPOTS, WAIVER_ASK
from families.models import Guardian, Spot, Waiver
from families.services.family_page import ask_request
from families.services.households import sign_waiver, withdraw_waiver
from families.services.registering import register
from families.services.spots import end_spot
from families.services.waiver_reminders import plan_waiver_reminders
from outbox.letters import Stale, build
from outbox.models import Note
from outbox.services.sending import send_due
from scheduling.queries.ahead import ahead_page
from tests.households import eight

pytestmark = pytest.mark.django_db


@pytest.fixture
def unsigned(make_clinic, household, now):
    def inner(clinic=None, **more):
        clinic = clinic or make_clinic()
        facts = household(("Wrenna Thornapple", eight(clinic)), **({"signed": ""} | more))
        return register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).spots[0]

    return inner


def asks():
    return Note.objects.filter(kind=WAIVER_ASK).order_by("due_at")


def test_who_has_not_signed_is_asked_once_a_step_however_often_planning_runs(unsigned, make_clinic, now):
    unsigned(make_clinic(days=10))
    assert [plan_waiver_reminders(now=now) for _ in range(2)] == [2, 0]

    assert [note.facts["step"] for note in asks()] == ["7 days", "2 days"]


def test_reminders_come_in_the_morning_at_the_center(unsigned, make_clinic, make_space, make_center, now):
    spot = unsigned(make_clinic(make_space(make_center(time_zone="America/Los_Angeles")), days=10))
    plan_waiver_reminders(now=now)

    first = asks()[0].due_at.astimezone(spot.clinic.center.tz)
    assert (first.time(), first.date()) == (time(9), spot.clinic.day - timedelta(days=7))


def test_who_has_signed_is_not_asked(unsigned, now):
    unsigned(signed="Perdita Ash")
    assert plan_waiver_reminders(now=now) == 0


@pytest.mark.parametrize("state", ["withdrawn", "expired", "older text"])
def test_a_signature_that_does_not_hold_on_the_clinics_day_is_asked_for_again(unsigned, waiver_text, now, state):
    spot = unsigned(signed="Perdita Ash")
    if state == "withdrawn":
        withdraw_waiver(waiver=Waiver.objects.get(), by="Perdita", now=now)
    elif state == "expired":
        Waiver.objects.update(until=spot.clinic.day - timedelta(days=1))
    else:
        type(waiver_text).objects.create(
            version=2, language="en", title="New", body="New.", signs_anew=True, published_at=now
        )
    assert plan_waiver_reminders(now=now) == 2


def test_signing_before_it_is_due_drops_it(unsigned, waiver_text, now):
    spot = unsigned()
    plan_waiver_reminders(now=now)
    note = asks()[0]
    assert "Wrenna" in build(note, note.due_at).body
    sign_waiver(
        child=spot.child,
        guardian=spot.guardian,
        text=waiver_text,
        typed_name="P",
        came_from="192.0.2.1",
        today=clock.today(),
        now=now,
    )
    with pytest.raises(Stale, match="signed"):
        build(note, note.due_at)


def test_after_days_without_a_mail_server_only_the_nearest_step_goes_out(unsigned, mailoutbox, now):
    spot = unsigned()
    Note.objects.all().delete()
    plan_waiver_reminders(now=now)
    late = spot.clinic.starts_at - timedelta(hours=20)
    send_due(now_fn=lambda: late)

    assert len(mailoutbox) == 1
    assert sorted(asks().values_list("state", flat=True)) == ["dropped", "sent"]


def test_two_children_of_one_household_are_one_note(make_clinic, household, now):
    clinic = make_clinic()
    facts = household(("One Ash", eight(clinic)), ("Two Ash", eight(clinic)), signed="")
    register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now)
    plan_waiver_reminders(now=now)

    assert asks().count() == 2 and {note.number_of(Clinic) for note in asks()} == {clinic.pk}
    body = build(asks()[0], asks()[0].due_at).body
    assert "One" in body and "Two" in body


def test_one_press_in_the_mail_program_stops_them_and_nothing_else(unsigned, now):
    spot = unsigned()
    plan_waiver_reminders(now=now)
    note = asks()[0]
    header = build(note, note.due_at).extra_headers["List-Unsubscribe"]
    link = header.strip("<>").split("/", 3)[3]
    strict = Client(enforce_csrf_checks=True)
    assert strict.get(f"/{link}").status_code == 200 and Guardian.objects.get().reminders
    answer = strict.post(f"/{link}", {"List-Unsubscribe": "One-Click"})

    assert answer.status_code == 200 and not Guardian.objects.get().reminders
    with pytest.raises(Stale, match="turned off reminders"):
        build(asks()[0], note.due_at)
    assert plan_waiver_reminders(now=now) == 0
    assert Note.objects.about(spot.guardian).filter(kind=SPOTS).exists()


def test_a_stranger_stops_nobodys_reminders(stranger, unsigned):
    guardian = unsigned().guardian
    token = links.make("family", subject=guardian.pk, counter=0, expires_at=clock.now() + timedelta(days=1))
    for made_up in ("made-up", token):
        assert stranger.post(reverse("family-stop", args=[made_up])).status_code == 404
    assert Guardian.objects.get().reminders


def test_planning_asks_as_many_questions_of_many_children_as_of_one(
    unsigned, make_clinic, now, django_assert_num_queries, django_assert_max_num_queries
):
    for days in (9, 10, 11, 12):
        unsigned(make_clinic(days=days))
    with django_assert_max_num_queries(10):
        assert plan_waiver_reminders(now=now) == 8


def test_a_spot_of_the_office_asks_every_guardian_of_the_child(unsigned, now):
    spot = unsigned()
    Spot.objects.update(guardian=None)
    plan_waiver_reminders(now=now)

    assert {note.number_of(Guardian) for note in asks()} == {spot.guardian.pk}


def test_ahead_says_how_many_have_not_signed_and_names_no_child(unsigned, make_clinic, now):
    clinic = make_clinic(days=9)
    unsigned(clinic)
    unsigned(clinic, signed="Perdita Ash")
    needs = ahead_page(now, clock.today()).needs

    (need,) = [need for need in needs if "waiver" in need.headline]
    assert need.headline == f"1 child at {clinic.center.name} has no current waiver for the clinic"
    assert need.day == clinic.day and "Wrenna" not in need.headline + need.detail


def test_ahead_says_who_waits_for_an_answer(unsigned, now):
    guardian = unsigned().guardian
    ask_request(guardian=guardian, what="copy", now=now)

    assert "1 guardian wants a copy of their data, or wants it deleted" in [
        n.headline for n in ahead_page(now, clock.today()).needs
    ]


def test_the_timetable_passes_spots_on_and_asks_for_signatures(unsigned, make_clinic, household, now):
    clinic = make_clinic(children=1)
    first, second, third = (
        register(clinic=clinic, facts=household(signed=""), once=uuid.uuid4(), now=now).spots[0] for _ in range(3)
    )
    end_spot(spot=first, because="ill", now=now)
    Spot.objects.filter(pk=second.pk).update(answer_by=now)
    app.loader.import_default_modules()
    for entry in ("families.pass_on_spots", "families.plan_waiver_reminders"):
        app.tasks[app.conf.beat_schedule[entry]["task"]]()

    third.refresh_from_db()
    assert third.answer_by is not None and asks().exists()
