"""When a clearance falls: who is released, who is told, who is asked instead, and what is left alone."""

from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from core.refusal import Refusal
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from people.models import Clearance, NoticeStep, Volunteer
from people.services.clearances import (
    ClearanceFacts,
    change_clearance,
    confirm_refusal,
    record_clearance,
)
from shifts.letters.shifts import SHIFT_RELEASED
from shifts.models import Assignment
from shifts.services.eligibility import release_all_ineligible
from shifts.services.notices import plan_notices
from tests.clock import at


@pytest.fixture
def accepted(make_assignment, make_shift, make_clinic, make_volunteer):
    return make_assignment(make_shift(make_clinic(days=20)), make_volunteer("Tobiah Quill", email="tobiah@example.org"))


def facts(policy, **more):
    today = clock.today()
    known = {"kind": policy["screening"], "state": "clear", "issued_on": today, "expires_on": None}
    return ClearanceFacts(**(known | more))


def expire(row, kind="conduct", **when):
    Clearance.objects.filter(volunteer=row.volunteer, kind__code=kind).update(
        issued_on=clock.today() - timedelta(days=300), expires_on=clock.today() + timedelta(**when)
    )


def test_a_clearance_that_has_expired_releases_the_shift_and_tells_kindly(accepted, mailoutbox):
    expire(accepted, days=-1)

    assert release_all_ineligible(now=clock.now()) == 1
    send_due()

    accepted.refresh_from_db()
    assert not accepted.live
    (mail,) = mailoutbox
    assert "You’re off the schedule" in mail.subject and "your conduct training expired on" in mail.body
    assert release_all_ineligible(now=clock.now()) == 0


def test_a_clearance_that_expires_later_but_before_the_clinic_releases_nothing_yet(accepted):
    expire(accepted, days=5)

    assert release_all_ineligible(now=clock.now()) == 0
    with at(clock.now() + timedelta(days=6)):
        assert release_all_ineligible(now=clock.now()) == 1


def test_renewed_in_time_nothing_is_released(accepted, admin, policy):
    expire(accepted, days=2)
    record_clearance(
        volunteer=accepted.volunteer, facts=facts(policy, kind=policy["conduct"]), by=admin, now=clock.now()
    )

    with at(clock.now() + timedelta(days=10)):
        assert release_all_ineligible(now=clock.now()) == 0


def test_shifts_before_the_last_day_are_left_alone(accepted, make_assignment, make_shift, make_clinic):
    soon = make_assignment(make_shift(make_clinic(days=1)), accepted.volunteer)
    expire(accepted, days=3)

    with at(soon.shift.clinic.starts_at - timedelta(hours=1)):
        assert release_all_ineligible(now=clock.now()) == 0


def test_withdrawing_releases_in_the_same_transaction(accepted, admin, policy):
    row = Clearance.objects.get(volunteer=accepted.volunteer, kind=policy["screening"])

    change_clearance(clearance=row, facts=facts(policy, state="withdrawn"), by=admin, now=clock.now())

    accepted.refresh_from_db()
    assert accepted.released_at is not None
    assert Note.objects.get(kind=SHIFT_RELEASED).number_of(Assignment) == accepted.pk


def test_when_the_release_fails_the_record_is_not_written_either(accepted, admin, policy, monkeypatch):
    row = Clearance.objects.get(volunteer=accepted.volunteer, kind=policy["screening"])
    # A second live note of the same key would be ignored; a broken release must take the record with it.
    Assignment.objects.filter(pk=accepted.pk).update(sequence=2147483647)

    with pytest.raises(Exception, match="out of range"):
        change_clearance(clearance=row, facts=facts(policy, state="withdrawn"), by=admin, now=clock.now())


def test_a_refused_result_stands_at_once_but_tells_nobody_until_a_second_person_confirms(
    accepted, admin, coordinator, policy, signed_in
):
    row = record_clearance(
        volunteer=accepted.volunteer, facts=facts(policy, state="refused"), by=admin, now=clock.now()
    )
    assert not Note.objects.exists() and release_all_ineligible(now=clock.now()) == 0
    ahead = signed_in(coordinator).get(reverse("ahead")).content.decode()
    assert "needs a second admin" in ahead and "isn’t cleared for" in ahead

    with pytest.raises(Refusal, match="a different admin must confirm it"):
        confirm_refusal(clearance=row, by=admin, now=clock.now())
    confirm_refusal(clearance=row, by=coordinator, now=clock.now())

    accepted.refresh_from_db()
    assert not accepted.live
    words = Note.objects.get(kind=SHIFT_RELEASED)
    assert words.state == NoteState.WAITING
    confirm_refusal(clearance=row, by=coordinator, now=clock.now())
    assert Note.objects.count() == 1


def test_the_mail_about_a_refused_result_names_no_verdict(accepted, admin, coordinator, policy, mailoutbox):
    row = record_clearance(
        volunteer=accepted.volunteer, facts=facts(policy, state="refused"), by=admin, now=clock.now()
    )
    confirm_refusal(clearance=row, by=coordinator, now=clock.now())
    send_due()

    text = mailoutbox[0].body
    assert "please call us" in text
    for word in ("refused", "rejected", "failed", "denied"):
        assert word not in text


def test_only_an_admin_may_confirm(accepted, admin, coordinator, policy, signed_in, stranger):
    row = record_clearance(
        volunteer=accepted.volunteer, facts=facts(policy, state="refused"), by=admin, now=clock.now()
    )
    address = reverse("clearance-confirm", args=[row.pk])

    assert stranger.post(address).status_code == 302
    assert signed_in(coordinator).post(address).status_code == 403
    signed_in(admin).post(address)
    row.refresh_from_db()
    assert row.confirmed_at is None


@pytest.mark.parametrize("chosen", [True, False])
def test_the_next_best_is_asked_only_where_the_coordinator_has_chosen_that(accepted, make_volunteer, chosen):
    clinic = accepted.shift.clinic
    clinic.offer_next = chosen
    clinic.save()
    imara = make_volunteer("Imara Venn")
    expire(accepted, days=-1)

    release_all_ineligible(now=clock.now())

    asked = Assignment.objects.live().filter(shift=accepted.shift)
    assert [row.volunteer for row in asked] == ([imara] if chosen else [])


# --- notices ---------------------------------------------------------------------------------------------------


@pytest.fixture
def schedule(db):
    for days in (60, 30, 14, 7, 0):
        NoticeStep.objects.create(days_before=days)


def test_the_holder_is_written_to_on_each_step_once(make_volunteer, schedule):
    person = make_volunteer()
    last = clock.today() + timedelta(days=60)
    Clearance.objects.filter(kind__code="conduct").update(expires_on=last)
    steps = []
    for days_left in (61, 60, 59, 30, 14, 8, 7, 1, 0):
        with at(clock.now() + timedelta(days=60 - days_left), tick=False):
            plan_notices(now=clock.now())
            plan_notices(now=clock.now())
            steps = list(Note.objects.order_by("pk").values_list("facts__step", flat=True))

    assert steps == ["60 days before", "30 days before", "14 days before", "7 days before", "on the last day"]
    assert {note.number_of(Volunteer) for note in Note.objects.all()} == {person.pk}


def test_a_notice_drops_itself_once_the_clearance_is_renewed(make_volunteer, schedule, admin, policy, mailoutbox):
    person = make_volunteer()
    Clearance.objects.filter(kind__code="conduct").update(
        issued_on=clock.today() - timedelta(days=300), expires_on=clock.today() + timedelta(days=7)
    )
    assert plan_notices(now=clock.now()) == 1
    record_clearance(volunteer=person, facts=facts(policy, kind=policy["conduct"]), by=admin, now=clock.now())
    Note.objects.update(due_at=clock.now())
    send_due()

    assert not mailoutbox and Note.objects.get().state == NoteState.DROPPED


def test_the_notice_says_what_expires_when_and_what_to_do(make_volunteer, schedule, mailoutbox):
    make_volunteer("Imara Venn")
    last = clock.today() + timedelta(days=7)
    Clearance.objects.filter(kind__code="conduct").update(
        issued_on=clock.today() - timedelta(days=300), expires_on=last
    )
    plan_notices(now=clock.now())
    Note.objects.update(due_at=clock.now())
    send_due()

    (mail,) = mailoutbox
    assert "conduct training" in mail.subject and "it expires in 7 days" in mail.body
    assert "never the report itself" in mail.body


def test_the_admins_are_written_to_once_when_a_clinic_would_break(accepted, admin, mailoutbox, policy):
    expire(accepted, days=5)
    assert plan_notices(now=clock.now()) == 1
    assert plan_notices(now=clock.now() + timedelta(days=1)) == 0
    Note.objects.update(due_at=clock.now())
    send_due()

    (mail,) = mailoutbox
    assert mail.to == [f"{admin.name} <{admin.email}>"]
    assert "Conduct training expires" in mail.body


def test_planning_costs_the_same_however_many_volunteers(
    make_volunteer, make_assignment, schedule, django_assert_num_queries
):
    for _ in range(3):
        make_volunteer()
    expire(make_assignment(), days=5)
    plan_notices(now=clock.now())
    with django_assert_num_queries(14) as few:
        plan_notices(now=clock.now())
    assert few
    for _ in range(20):
        make_volunteer()
        expire(make_assignment(), days=5)
    plan_notices(now=clock.now())
    with django_assert_num_queries(14):
        plan_notices(now=clock.now())


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"left_on": True}, "you’re no longer a volunteer"),
        ({"duties": ["door"]}, "you no longer have this duty: coach"),
    ],
)
def test_a_shift_is_never_left_with_somebody_who_left_or_gave_up_the_duty(
    accepted, coordinator, signed_in, mailoutbox, change, words
):
    person = accepted.volunteer
    typed = {"name": person.name, "email": person.email, "duties": ["coach"], "adult": "on", "reminders": "on"} | change
    if "left_on" in change:
        typed["left_on"] = clock.today().isoformat()

    signed_in(coordinator).post(reverse("volunteer-change", args=[person.pk]), typed)
    send_due()

    accepted.refresh_from_db()
    (mail,) = mailoutbox
    assert not accepted.live and words in mail.body


def test_another_duty_beside_the_old_frees_nothing(accepted, coordinator, signed_in):
    person = accepted.volunteer
    typed = {"name": person.name, "email": person.email, "duties": ["coach", "door"], "adult": "on"}

    signed_in(coordinator).post(reverse("volunteer-change", args=[person.pk]), typed)

    accepted.refresh_from_db()
    assert accepted.live
