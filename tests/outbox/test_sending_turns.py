"""Which notes a sender takes, in what order, and what it writes down of each."""

import uuid
from datetime import timedelta
from typing import Any

import pytest

from outbox.models import Note, NoteState
from outbox.rules.backoff import WAITS_MINUTES
from outbox.services.sending import BATCH, SendReport, send_due, try_again
from outbox.services.writing import write_note
from people.letters.accounts import PASSWORD_RESET
from tests.mailbox import Mailbox

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def write(admin, now):
    """A note that is due so many minutes from now."""

    def inner(number: int, minutes: int = 0, **more: Any) -> Note:
        note = write_note(
            key=f"test {number}",
            kind=PASSWORD_RESET,
            to_name=f"Person {number}",
            to_email=f"person{number}@example.org",
            summary=f"Note {number}",
            due_at=now + timedelta(minutes=minutes),
            about=[admin],
        )
        assert note is not None
        Note.objects.filter(pk=note.pk).update(**more)
        return note

    return inner


def send(now, **more):
    return send_due(now_fn=lambda: now, **more)


def addressed(mailoutbox):
    return [mail.to[0].split()[1] for mail in mailoutbox]


def test_what_is_due_longest_goes_first_and_no_more_than_the_limit(write, now, mailoutbox):
    for number, minutes in enumerate((-1, -9, -5)):
        write(number, minutes)

    assert send(now, limit=2) == SendReport(sent=2)
    assert addressed(mailoutbox) == ["1", "2"]
    assert send(now, limit=2) == SendReport(sent=1) and send(now) == SendReport()


def test_more_than_one_batch_goes_out_in_one_look(write, now, mailoutbox):
    for number in range(BATCH + 2):
        write(number)

    assert send(now, limit=BATCH + 1).sent == BATCH + 1
    assert Note.objects.filter(state=NoteState.WAITING).count() == 1


def test_what_is_due_this_moment_goes_and_what_is_due_later_waits(write, now, mailoutbox):
    write(0)
    write(1, 1)

    assert send(now).sent == 1 and addressed(mailoutbox) == ["0"]


def test_a_claim_that_lasts_is_left_to_its_sender_and_one_that_ran_out_is_taken_over(write, now, mailoutbox):
    for number, seconds in enumerate((1, 0, -1)):
        until = now + timedelta(seconds=seconds)
        write(number, -5, state=NoteState.SENDING, claim=uuid.uuid4(), claimed_until=until)

    assert send(now).sent == 1 and addressed(mailoutbox) == ["2"]


@pytest.mark.parametrize("state", [NoteState.SENT, NoteState.DROPPED, NoteState.STUCK])
def test_what_has_had_its_end_is_not_taken_again(write, now, mailoutbox, state):
    write(0, -5, state=state, sent_at=now)

    assert send(now) == SendReport() and not mailoutbox


def test_what_went_out_has_its_time_and_no_claim_left(write, now, mailoutbox):
    write(0, tries=2, last_answer="421 Later")
    send(now)

    note = Note.objects.get()
    assert (note.state, note.sent_at, note.tries, note.last_answer) == (NoteState.SENT, now, 3, "")
    assert (note.claim, note.claimed_until) == (None, None)


@pytest.mark.parametrize(
    ("state", "again"),
    [
        (NoteState.STUCK, True),
        (NoteState.WAITING, True),
        (NoteState.DROPPED, False),
        (NoteState.SENT, False),
        (NoteState.SENDING, False),
    ],
)
def test_a_person_may_send_again_what_has_neither_gone_out_nor_been_dropped(write, now, state, again):
    claim = {"claim": uuid.uuid4(), "claimed_until": now} if state == NoteState.SENDING else {}
    note = write(0, 60, state=state, tries=4, sent_at=now, **claim)
    other = write(1, 60, state=state, tries=4, sent_at=now, **claim)

    assert try_again(note=note, now=now) is again

    note.refresh_from_db()
    other.refresh_from_db()
    later = now + timedelta(minutes=60)
    assert (note.state, note.due_at, note.tries) == ((NoteState.WAITING, now, 0) if again else (state, later, 4))
    assert (other.state, other.due_at, other.tries) == (state, later, 4)


@pytest.fixture
def post(settings):
    def inner(port: int) -> None:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port

    return inner


@pytest.mark.parametrize(
    ("answer", "tries", "state"),
    [
        ("450 4.2.0 Try later", 0, NoteState.WAITING),
        ("450 4.2.0 Try later", len(WAITS_MINUTES) - 1, NoteState.WAITING),
        ("450 4.2.0 Try later", len(WAITS_MINUTES), NoteState.STUCK),
        ("499 Odd", 0, NoteState.WAITING),
        ("500 Odd", 0, NoteState.STUCK),
        ("550 5.1.1 No such mailbox", 0, NoteState.STUCK),
    ],
)
def test_a_refused_address_is_tried_again_for_a_while_or_waits_for_a_person(write, post, now, answer, tries, state):
    write(0, tries=tries)
    write(1, 0)
    with Mailbox(refuse=lambda address: answer if address.startswith("person0") else None) as box:
        post(box.port)
        report = send(now)

    note = Note.objects.get(key="test 0")
    assert (note.state, note.tries, note.last_answer) == (state, tries + 1, answer)
    assert note.due_at == (now + timedelta(minutes=WAITS_MINUTES[tries]) if state == NoteState.WAITING else now)
    assert report.sent == 1 and report.waiting + report.stuck == 1 and note.claim is None
