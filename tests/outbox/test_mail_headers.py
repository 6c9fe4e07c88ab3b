"""What a mail is on the wire: its parts, and headers that no name can break."""

from email import message_from_bytes
from email.policy import default

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from core import clock
from outbox.letters import build
from outbox.models import Note
from outbox.services.sending import send_due
from shifts.models import Assignment
from shifts.services.cover import ask_volunteer
from tests.mailbox import Mailbox

pytestmark = pytest.mark.django_db


@pytest.fixture
def note(make_shift, make_volunteer, now):
    volunteer = make_volunteer("Ímara Venn", email="imara@example.org")
    return Note.objects.about(ask_volunteer(shift=make_shift(), volunteer=volunteer, now=now)).get()


def test_the_calendar_part_arrives_whole_with_its_method_and_its_letters(note, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    with Mailbox() as box:
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", box.port
        send_due()

    (message,) = box.messages
    assert message.get_content_type() == "multipart/alternative"
    parts = list(message.iter_parts())
    # RFC 2046 section 5.1.4: the plainest first.
    assert [part.get_content_type() for part in parts] == ["text/plain", "text/html", "text/calendar"]
    # RFC 6047 section 2.4: method and charset are parameters of the part.
    assert (parts[2].get_param("method"), parts[2].get_content_charset()) == ("REQUEST", "utf-8")
    (event,) = Calendar.from_ical(parts[2].get_content()).walk("VEVENT")
    assert event["ATTENDEE"].params["CN"] == "Ímara Venn"
    assert str(event["UID"]).startswith(str(Assignment.objects.get(pk=note.number_of(Assignment)).uid))
    assert message["Message-ID"] == note.message_id


def test_making_the_mail_again_says_the_same_to_a_calendar(note):
    first, second = (build(note, clock.now()) for _ in range(2))

    assert first.alternatives[1] == second.alternatives[1]
    assert first.extra_headers["Message-ID"] == second.extra_headers["Message-ID"]


@pytest.mark.thorough
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
@given(name=st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=120))
def test_no_name_adds_a_header_or_a_second_person(note, name):
    note.to_name = name
    plain = {header.lower() for header in build_bytes(note, "Imara")}

    message = build_bytes(note, name)

    assert {header.lower() for header in message} == plain
    assert [person.addr_spec for person in message["To"].addresses] == ["imara@example.org"]


def build_bytes(note, name):
    note.to_name = name
    return message_from_bytes(build(note, clock.now()).message().as_bytes(), policy=default)
