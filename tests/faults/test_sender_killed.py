"""Killing, refusing and doubling the sender: nothing is lost, and nothing is repeated but by one crash."""

import threading
import time
from collections import Counter

import pytest
from django.db import connection

from core import clock
from outbox.models import Note, NoteState
from outbox.services.sending import send_due, try_again
from outbox.services.writing import enqueue_sender
from tests.mailbox import Mailbox
from tests.servers import unused_port
from tests.workers import Worker

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_worker_killed_in_the_middle_loses_no_note_and_repeats_at_most_one(write):
    write(40)
    with Mailbox(seconds=0.05) as box, Worker(SMTP_PORT=box.port, NOTE_LEASE_SECONDS=2) as worker:
        enqueue_sender()
        box.wait_until(12)
        worker.kill()
        assert 12 <= len(box.messages) < 40
        time.sleep(2.1)  # the dead worker's claim runs out
        worker.start()
        enqueue_sender()
        end = time.monotonic() + 30
        while Note.objects.exclude(state=NoteState.SENT).exists() and time.monotonic() < end:
            time.sleep(0.1)

    assert set(Note.objects.values_list("state", flat=True)) == {NoteState.SENT}
    arrived = Counter(str(message["Message-ID"]) for message in box.messages)
    assert set(arrived) == set(Note.objects.values_list("message_id", flat=True))
    assert sum(arrived.values()) <= 41


def test_two_senders_at_once_send_each_note_once(write, post):
    write(60)

    def send():
        try:
            send_due()
        finally:
            connection.close()

    with Mailbox(seconds=0.005) as box:
        post(box.port)
        threads = [threading.Thread(target=send) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(timeout=60)

    assert sorted(Counter(str(m["Message-ID"]) for m in box.messages).values()) == [1] * 60
    assert Note.objects.filter(state=NoteState.SENT).count() == 60


def test_a_refused_address_waits_for_a_person_with_the_servers_own_words(write, post):
    write(3)
    refuse = {"person1@example.org": "550 5.1.1 No such mailbox here"}
    with Mailbox(refuse=refuse.get) as box:
        post(box.port)
        report = send_due()

        assert (report.sent, report.stuck) == (2, 1)
        stuck = Note.objects.get(state=NoteState.STUCK)
        assert stuck.to_email == "person1@example.org" and "No such mailbox here" in stuck.last_answer
        refuse.clear()
        assert try_again(note=stuck, now=clock.now())
        assert send_due().sent == 1
    assert len(box.messages) == 3


def test_a_busy_server_is_tried_again_later_and_never_at_once(write, post):
    write(1)
    with Mailbox(refuse=lambda _: "451 4.7.1 Try again later") as box:
        post(box.port)
        assert send_due().waiting == 1
        assert send_due().waiting == 0

    note = Note.objects.get()
    assert note.state == NoteState.WAITING and note.tries == 1 and note.due_at > clock.now()
    assert "Try again later" in note.last_answer


def test_an_unreachable_server_holds_everything_and_loses_nothing(write, post):
    write(5)
    post(unused_port())

    report = send_due()

    assert report.waiting == 5
    assert all("reach the mail server" in note.last_answer for note in Note.objects.all())
    Note.objects.update(due_at=clock.now())
    with Mailbox() as box:
        post(box.port)
        assert send_due().sent == 5


def test_after_the_last_wait_a_person_looks(write, post):
    write(1)
    post(unused_port())
    for _ in range(6):
        Note.objects.update(due_at=clock.now())
        send_due()

    assert Note.objects.get().state == NoteState.STUCK


def test_a_note_that_cannot_be_written_holds_up_no_other(write, post):
    write(3)
    # No such kind exists in the code: what a half-finished upgrade would leave.
    Note.objects.filter(key="test 1").update(kind="not-a-kind")
    with Mailbox() as box:
        post(box.port)
        report = send_due()

    assert (report.sent, report.stuck) == (2, 1)
    assert len(box.messages) == 2
