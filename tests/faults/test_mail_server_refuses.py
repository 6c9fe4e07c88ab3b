"""When the mail server has something against us, or one note breaks the conversation: the others are not to suffer."""

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, Session

from core import clock
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from tests.mailbox import Mailbox
from tests.servers import unused_port

pytestmark = pytest.mark.django_db(transaction=True)


class Locked(Mailbox):
    """Asks for a password and knows none."""

    def __init__(self) -> None:
        super().__init__()
        self.logins = 0
        self._controller = Controller(
            self, hostname="127.0.0.1", port=unused_port(), authenticator=self.refuse_login, auth_require_tls=False
        )

    def refuse_login(self, *_: object) -> AuthResult:
        self.logins += 1
        return AuthResult(success=False, handled=False, message="535 5.7.8 That is not the password")


class Strict(Mailbox):
    """Answers MAIL FROM from ``answers``, and with 250 when there are none left."""

    def __init__(self, *answers: str) -> None:
        super().__init__()
        self.answers = list(answers)
        self.asked = 0

    async def handle_MAIL(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        self.asked += 1
        answer = self.answers.pop(0) if self.answers else "250 OK"
        if answer.startswith("250"):
            envelope.mail_from = address
        return answer


class Abrupt(Mailbox):
    """Hangs up in the middle of every note to one of ``people``, without an answer."""

    def __init__(self, *people: str) -> None:
        super().__init__()
        self.people = set(people)
        self.hung_up = 0

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        if self.people.intersection(envelope.rcpt_tos):
            self.hung_up += 1
            assert server.transport is not None
            server.transport.close()
            return "421 Gone"
        return await super().handle_DATA(server, session, envelope)


class Counting(Mailbox):
    """Counts who connects."""

    def __init__(self) -> None:
        super().__init__()
        self.peers: list[object] = []

    async def handle_EHLO(
        self, server: SMTP, session: Session, envelope: Envelope, hostname: str, responses: list[str]
    ) -> list[str]:
        session.host_name = hostname
        self.peers.append(session.peer)
        return responses


def fates() -> list[tuple[str, int]]:
    return list(Note.objects.order_by("pk").values_list("state", "tries"))


def test_a_wrong_password_of_ours_makes_everything_wait_and_nothing_stuck(write, post, settings):
    write(3)
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "lantern", "wrong"
    with Locked() as box:
        post(box.port)
        report = send_due()

    assert (report.waiting, report.stuck) == (3, 0)
    assert "rejected our sign-in: 535 5.7.8 That is not the password" in Note.objects.all()[0].last_answer
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    Note.objects.update(due_at=clock.now())
    with Mailbox() as box:
        post(box.port)
        assert send_due().sent == 3


def test_a_wrong_password_is_tried_once_a_look_however_much_is_due(write, post, settings):
    write(120)
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "lantern", "wrong"
    box = Locked()
    with box:
        post(box.port)
        send_due()

    # smtplib goes through the ways to sign in that the server names: PLAIN and LOGIN.
    assert box.logins <= 2
    assert not Note.objects.filter(state=NoteState.STUCK).exists()
    assert Note.objects.filter(state=NoteState.WAITING).count() == 120


def test_a_sender_address_that_is_refused_concerns_every_note_and_is_tried_once(write, post):
    write(3)
    box = Strict(*["550 5.7.1 You may not send from this address"] * 3)
    with box:
        post(box.port)
        report = send_due()

    assert box.asked == 1
    assert (report.waiting, report.stuck) == (3, 0)
    assert all("You may not send from this address" in note.last_answer for note in Note.objects.all())


@pytest.mark.parametrize(("answer", "sent", "waiting"), [("499 Not now", 2, 1), ("500 Never", 0, 3)])
def test_only_a_lasting_no_to_our_own_address_concerns_every_note(write, post, answer, sent, waiting):
    write(3)
    with Strict(answer) as box:
        post(box.port)
        report = send_due()

    assert (report.sent, report.waiting, report.stuck) == (sent, waiting, 0)


def test_a_server_that_takes_few_notes_per_connection_gets_the_rest_over_the_next(write, post):
    write(6)
    with Strict("250 OK", "250 OK", "421 4.7.0 Too many messages on this connection") as box:
        post(box.port)
        report = send_due()

    assert (report.sent, report.waiting) == (5, 1)
    assert len(box.messages) == 5


def test_a_note_on_which_the_server_hangs_up_holds_up_no_other(write, post):
    write(5)
    with Abrupt("person1@example.org") as box:
        post(box.port)
        report = send_due()

    assert (report.sent, report.waiting) == (4, 1)
    assert "dropped the connection" in Note.objects.get(to_email="person1@example.org").last_answer


def test_a_server_that_hangs_up_twice_in_a_row_is_left_alone_until_later(write, post):
    write(10)
    box = Abrupt(*(f"person{number}@example.org" for number in range(10)))
    with box:
        post(box.port)
        report = send_due()

    assert box.hung_up == 2
    assert report.waiting == 10
    assert fates() == [(NoteState.WAITING, 1)] * 10


def test_an_address_that_is_none_waits_for_a_person_and_holds_up_no_other(write, post):
    write(3)
    Note.objects.filter(key="test 0").update(to_email="nobody at all")
    with Mailbox() as box:
        post(box.port)
        report = send_due()

    assert (report.sent, report.stuck) == (2, 1)
    assert "Check the name and the address" in Note.objects.get(state=NoteState.STUCK).last_answer


def test_after_a_note_that_nobody_foresaw_the_next_goes_over_a_fresh_connection(write, post):
    """Nobody knows in what state such a note left the conversation: the next would be taken for a part of it."""
    write(4)
    # Longer than a part of a domain may be, which is seen no sooner than on the open connection.
    Note.objects.filter(key="test 1").update(to_email=f"person1@{'é' * 64}.example.org")
    box = Counting()
    with box:
        post(box.port)
        report = send_due()

    assert (report.sent, report.stuck) == (3, 1)
    assert len(box.peers) == len(set(box.peers)) == 2


@pytest.mark.parametrize("name", ["Lantern Court, Inc.", 'The "Lantern" <Court>', "Lanternénée Cour"])
def test_any_name_of_the_organisation_sends(write, post, settings, name):
    write(1)
    settings.ORGANISATION = name
    with Mailbox() as box:
        post(box.port)
        assert send_due().sent == 1

    (sender,) = box.messages[0]["From"].addresses
    assert (sender.display_name, sender.addr_spec) == (name, settings.MAIL_FROM)
