"""Cover under trouble: two accept at once, a clearance falls and a worker dies mid-search, all backups say yes."""

import threading
import time
from collections import Counter
from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.urls import reverse

from core import clock
from people.models import Clearance
from shifts.models import Assignment, BackupCall, Proposal, ProposalLine, ProposalState, Reply
from shifts.rules.matching import match
from shifts.services import proposals as services
from shifts.services.backup import answer_call, make_backup
from shifts.services.cover import record_reply
from shifts.services.proposals import propose, search, search_waiting, take_lines
from tests.workers import Worker

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def week(make_clinic, make_shift, make_volunteer):
    shifts = [make_shift(make_clinic(days=2 + number // 3), "coach") for number in range(6)]
    for number in range(6):
        make_volunteer(f"Coach {number}")
    return shifts


def ask(by):
    today = clock.today()
    return propose(first=today, last=today + timedelta(days=7), by=by, now=clock.now())


def at_once(*calls):
    def run(call):
        try:
            call()
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(call,)) for call in calls]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)


def test_two_who_take_overlapping_proposals_at_once_ask_each_shift_once(week, coordinator, admin):
    first, second = ask(coordinator), ask(admin)
    search(pk=first.pk), search(pk=second.pk)
    done = []

    def take(row):
        ids = set(row.lines.values_list("pk", flat=True))
        done.append(take_lines(proposal=row, ids=ids, now=clock.now()))

    at_once(lambda: take(first), lambda: take(second))

    assert sum(taken for taken, _ in done) == 6 and sum(refused for _, refused in done) == 6
    assert Counter(Assignment.objects.live().values_list("shift_id", flat=True)) == {s.pk: 1 for s in week}
    refused = ProposalLine.objects.exclude(outcome__in=("", "asked")).values_list("outcome", flat=True)
    assert len(refused) == 6 and all("already has this shift" in words for words in refused)


def test_a_clearance_withdrawn_while_the_search_runs_is_met_when_it_is_taken(week, coordinator, monkeypatch, policy):
    row = ask(coordinator)
    real = match

    def match_while_a_clearance_falls(*args, **more):
        Clearance.objects.create(
            volunteer=Clearance.objects.all()[0].volunteer, kind=policy["conduct"], state="withdrawn",
            issued_on=clock.today(),
        )  # fmt: skip
        return real(*args, **more)

    monkeypatch.setattr(services, "match", match_while_a_clearance_falls)
    search(pk=row.pk)
    gone = Clearance.objects.get(state="withdrawn").volunteer
    lines = set(row.lines.filter(volunteer=gone).values_list("pk", flat=True))
    assert lines

    done, refused = take_lines(proposal=row, ids=set(row.lines.values_list("pk", flat=True)), now=clock.now())

    assert refused == len(lines) and done == 6 - refused
    assert not Assignment.objects.filter(volunteer=gone).exists()
    assert all("isn’t cleared" in line.outcome for line in row.lines.filter(pk__in=lines))


def test_a_worker_killed_in_the_middle_of_a_search_is_followed_by_another(week, coordinator, signed_in):
    held = threading.Event()
    let_go = threading.Event()

    def hold_the_clearances():
        try:
            with transaction.atomic():
                with connection.cursor() as cursor:
                    cursor.execute("LOCK TABLE people_clearance IN ACCESS EXCLUSIVE MODE")
                held.set()
                let_go.wait(60)
        finally:
            connection.close()

    holder = threading.Thread(target=hold_the_clearances)
    with Worker() as worker:
        holder.start()
        assert held.wait(10)
        row = ask(coordinator)  # the worker is woken, claims it, and waits for the clearances
        wait_until(lambda: Proposal.objects.get(pk=row.pk).state == ProposalState.RUNNING)
        worker.kill()
    let_go.set()
    holder.join()
    assert Proposal.objects.get(pk=row.pk).state == ProposalState.RUNNING
    assert search_waiting(now=clock.now()) == 0  # it may still be alive

    assert search_waiting(now=clock.now() + timedelta(minutes=1)) == 1

    row.refresh_from_db()
    assert row.state == ProposalState.READY and row.lines.count() == 6
    assert "newly filled" in signed_in(coordinator).get(reverse("proposal", args=[row.pk])).content.decode()


def test_a_search_woken_through_redis_is_done_by_a_real_worker(week, coordinator):
    with Worker():
        row = ask(coordinator)
        wait_until(lambda: Proposal.objects.get(pk=row.pk).state == ProposalState.READY)

    assert row.lines.count() == 6


def test_of_many_who_say_yes_at_once_exactly_one_has_the_shift(
    make_assignment, make_shift, make_clinic, make_volunteer, move_clock
):
    row = make_assignment(make_shift(make_clinic(days=2)))
    move_clock(row.shift.clinic.starts_at - timedelta(hours=20))
    for number in range(6):
        make_backup(shift=row.shift, volunteer=make_volunteer(f"Ready {number}"), now=clock.now())
    record_reply(assignment=row, reply=Reply.DECLINED, by="x", now=clock.now())
    calls = list(BackupCall.objects.all())
    assert len(calls) == 6

    at_once(*[lambda call=call: answer_call(call=call, yes=True, now=clock.now()) for call in calls])

    assert Assignment.objects.live().count() == 1
    answers = Counter(BackupCall.objects.values_list("answer", flat=True))
    assert answers == {"took it": 1, "too late": 5}


def test_a_search_taken_by_two_workers_is_done_once(week, coordinator):
    row = ask(coordinator)
    answers = []

    at_once(*[lambda: answers.append(search(pk=row.pk)) for _ in range(3)])

    assert sorted(answers) == [False, False, True] and row.lines.count() == 6


def wait_until(true, seconds=30):
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(0.1)
