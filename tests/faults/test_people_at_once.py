"""Somebody leaves, or two records of one person become one, while their clinics move: nobody waits for nobody."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import connection
from django.urls import reverse

from clinics.models import Clinic
from core import clock
from people.models import Volunteer
from people.services.clearances import ClearanceFacts, record_clearance
from people.services.merge import merge_volunteers
from scheduling.services import cancelling
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of
from shifts.models import Assignment, Backup, Reply
from shifts.services.backup import make_backup
from shifts.services.cover import record_reply
from shifts.services.eligibility import leave
from shifts.services.moving import end_what_hung_on_it
from tests.faults.test_races import at_once
from tests.meanwhile import wait_for_a_waiter

pytestmark = pytest.mark.django_db(transaction=True)
CLINICS = 6


@pytest.fixture
def clinics(make_clinic):
    return [make_clinic(days=10 + number) for number in range(CLINICS)]


def moving(clinic: Clinic) -> Callable[[], object]:
    def call() -> object:
        row = Clinic.objects.select_related("center").prefetch_related("bands").get(pk=clinic.pk)
        facts = replace(facts_of(row), starts=(row.local_start + timedelta(minutes=10)).time())
        return change_clinic(clinic=row, facts=facts, now=clock.now())

    return call


def went_wrong(out: list[object]) -> list[object]:
    return [answer for answer in out if isinstance(answer, Exception) or answer is None]


def test_people_leave_while_each_of_their_clinics_moves(clinics, make_shift, make_assignment, make_volunteer):
    people = [make_volunteer() for _ in range(4)]
    for clinic in clinics:
        for person in people:
            make_assignment(make_shift(clinic), person)
    today = clock.today()
    leaving = [lambda one=one: leave(volunteer=one, today=today, now=clock.now()) for one in people]
    out = at_once(*(moving(clinic) for clinic in clinics), *leaving)

    assert went_wrong(out) == []
    assert Assignment.objects.live().count() == 0
    assert Volunteer.objects.filter(left_on=today).count() == 4


def test_clearances_are_recorded_and_duties_given_up_while_each_clinic_moves(
    clinics, policy, make_shift, make_assignment, make_volunteer, coordinator, admin, signed_in
):
    people = [make_volunteer() for _ in range(4)]
    for clinic in clinics:
        for person in people:
            make_assignment(make_shift(clinic), person)
    facts = ClearanceFacts(kind=policy["conduct"], state="withdrawn", issued_on=clock.today(), expires_on=None)

    def withdrawing(one: Volunteer) -> object:
        return record_clearance(volunteer=one, facts=facts, by=admin, now=clock.now())

    def giving_up(one: Volunteer) -> object:
        page = signed_in(coordinator)
        typed = {"name": one.name, "email": one.email, "duties": ["door"], "adult": "on"}
        return page.post(reverse("volunteer-change", args=[one.pk]), typed).status_code

    work = [
        *(lambda one=one: withdrawing(one) for one in people[:2]),
        *(lambda one=one: giving_up(one) for one in people[2:]),
    ]
    out = at_once(*(moving(clinic) for clinic in clinics), *work)

    assert went_wrong(out) == [] and out[-2:] == [302, 302], out
    assert Assignment.objects.live().count() == 0


def test_two_records_become_one_while_their_clinics_move_and_replies_come(
    clinics, make_shift, make_assignment, make_volunteer
):
    kept, other = make_volunteer(), make_volunteer()
    rows = [make_assignment(make_shift(clinic), other, reply=Reply.NEEDS_ACTION) for clinic in clinics]
    replies = [
        lambda row=row: record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=clock.now())
        for row in rows
    ]
    merging = [lambda: merge_volunteers(keep=kept, other=other, now=clock.now())]
    out = at_once(*replies, *(moving(clinic) for clinic in clinics), *merging)

    assert went_wrong(out) == []
    assert set(Assignment.objects.values_list("volunteer", flat=True)) == {kept.pk}
    assert Assignment.objects.accepted().count() == CLINICS


def test_a_backup_s_record_becomes_another_s_while_the_clinic_is_cancelled(
    make_clinic, make_shift, make_volunteer, monkeypatch
):
    clinic = make_clinic(days=9)
    gone, kept = make_volunteer("Ned Vale"), make_volunteer("Una Reed")
    make_backup(shift=make_shift(clinic), volunteer=gone, now=clock.now())
    out: list[object] = []

    def merge():
        try:
            out.append(merge_volunteers(keep=kept, other=gone, now=clock.now()))
        except Exception as problem:  # the test looks at it
            out.append(problem)
        finally:
            connection.close()

    merging = threading.Thread(target=merge)

    def once_somebody_waits(*facts):
        merging.start()
        wait_for_a_waiter()
        return end_what_hung_on_it(*facts)

    monkeypatch.setattr(cancelling, "end_what_hung_on_it", once_somebody_waits)
    cancelling.cancel_clinic(clinic=clinic, because="burst pipe", now=clock.now())
    merging.join(60)

    assert len(out) == 1 and went_wrong(out) == []
    assert not Backup.objects.filter(volunteer=gone).exists() and not Volunteer.objects.filter(pk=gone.pk).exists()
