"""Planning reminders: each once, at the center's own time, and none that is no longer true."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from clinics.models import Status
from core import clock
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from scheduling.services.cancelling import cancel_clinic
from shifts.letters.shifts import REMINDER
from shifts.models import Assignment, Reply
from shifts.services.reminders import plan_reminders

pytestmark = pytest.mark.django_db


@pytest.fixture
def accepted(make_assignment, make_shift, make_clinic):
    row = make_assignment(make_shift(make_clinic(days=7, starts=time(16), ends=time(18))))
    Assignment.objects.update(asked_at=clock.now() - timedelta(days=30))
    return row


def planned() -> dict[str, datetime]:
    return dict(Note.objects.filter(kind=REMINDER).values_list("facts__step", "due_at"))


def test_three_rungs_in_the_centers_own_time(accepted):
    clinic = accepted.shift.clinic

    assert plan_reminders(now=clinic.starts_at - timedelta(days=7, hours=6)) == 3

    morning = planned()["morning"].astimezone(clinic.center.tz)
    assert (morning.date(), morning.time()) == (clinic.day, time(7))
    assert planned()["48 hours"] == clinic.starts_at - timedelta(hours=48)


def test_another_zone_has_another_morning(make_assignment, make_shift, make_clinic, make_space, make_center):
    west = make_space(make_center(time_zone="America/Los_Angeles"))
    row = make_assignment(make_shift(make_clinic(west, days=3)))

    plan_reminders(now=clock.now())

    assert planned()["morning"].astimezone(ZoneInfo("America/Los_Angeles")).time() == time(7)
    assert planned()["morning"].astimezone(UTC).date() == row.shift.clinic.day


def test_planning_again_writes_nothing_new(accepted):
    at = accepted.shift.clinic.starts_at - timedelta(days=7, hours=6)
    plan_reminders(now=at)

    assert plan_reminders(now=at) == 0
    assert plan_reminders(now=at + timedelta(days=3)) == 0
    assert Note.objects.count() == 3


def test_a_clinic_that_moved_is_planned_anew_and_the_old_notes_drop_themselves(accepted, mailoutbox):
    clinic = accepted.shift.clinic
    at = clinic.starts_at - timedelta(days=7, hours=6)
    plan_reminders(now=at)
    clinic.revision += 1
    clinic.save()

    assert plan_reminders(now=at) == 3
    send_due(now_fn=lambda: clinic.starts_at - timedelta(minutes=30))

    assert Note.objects.get(state=NoteState.SENT).facts["revision"] == 1
    old = Note.objects.filter(facts__revision=0)
    assert set(old.values_list("last_answer", flat=True)) == {"The clinic was moved after this email was written."}


def test_after_days_without_a_mail_server_one_reminder_goes_and_says_what_is_true_now(accepted, mailoutbox):
    clinic = accepted.shift.clinic
    plan_reminders(now=clinic.starts_at - timedelta(days=7, hours=6))

    send_due(now_fn=lambda: clinic.starts_at - timedelta(hours=46))

    (mail,) = mailoutbox
    assert mail.subject.startswith("In 2 days: ")
    assert Note.objects.get(facts__step="7 days").last_answer == "A later reminder covers this one."
    assert Note.objects.get(facts__step="morning").state == NoteState.WAITING


def test_a_reminder_that_waited_counts_the_days_from_when_it_goes(accepted, mailoutbox):
    clinic = accepted.shift.clinic
    plan_reminders(now=clinic.starts_at - timedelta(days=7, hours=6))

    send_due(now_fn=lambda: clinic.starts_at - timedelta(days=4))

    (mail,) = mailoutbox
    assert mail.subject.startswith("In 4 days: ") and "In 4 days: your coach shift" in mail.body


def test_a_cancelled_clinic_has_no_reminder(accepted, mailoutbox):
    clinic = accepted.shift.clinic
    at = clinic.starts_at - timedelta(days=7, hours=6)
    plan_reminders(now=at)

    cancel_clinic(clinic=clinic, because="The heating failed", now=at)
    assert plan_reminders(now=at) == 0
    send_due(now_fn=lambda: clinic.starts_at - timedelta(minutes=30))

    told = [mail.subject.split(":")[0] for mail in mailoutbox if accepted.volunteer.email in mail.to[0]]
    assert told == ["Cancelled"]


def test_who_has_not_answered_is_asked_again_and_who_declined_is_left_alone(
    make_assignment, make_shift, make_clinic, mailoutbox
):
    clinic = make_clinic(days=2, starts=time(16), ends=time(18))
    make_assignment(make_shift(clinic), reply=Reply.NEEDS_ACTION)
    make_assignment(make_shift(clinic), reply=Reply.DECLINED)
    Assignment.objects.update(asked_at=clock.now() - timedelta(days=30))

    plan_reminders(now=clinic.starts_at - timedelta(hours=40))
    send_due(now_fn=lambda: clinic.starts_at - timedelta(hours=1))

    (mail,) = mailoutbox
    assert "haven’t heard from you" in mail.body


def test_who_wants_no_reminders_gets_none(accepted):
    accepted.volunteer.reminders = False
    accepted.volunteer.save()

    assert plan_reminders(now=accepted.shift.clinic.starts_at - timedelta(days=7, hours=6)) == 0


def test_planning_costs_the_same_however_many_clinics(
    make_assignment, make_shift, make_clinic, django_assert_num_queries
):
    def more(count):
        for _ in range(count):
            make_assignment(make_shift(make_clinic(days=6)))

    more(2)
    with django_assert_num_queries(5):  # two for the transaction, one look, one for known keys, one write
        plan_reminders(now=clock.now())
    more(8)
    with django_assert_num_queries(5):
        plan_reminders(now=clock.now())


def test_a_tentative_clinic_reminds_too(make_assignment, make_shift, make_clinic):
    make_assignment(make_shift(make_clinic(days=6, status=Status.TENTATIVE)))

    assert plan_reminders(now=clock.now()) >= 1
