"""The mail catcher keeps what SMTP brought, and its page shows it without trusting a name in the address."""

import smtplib
from email.message import EmailMessage

import pytest
from django.http import Http404

from demo import mail_page
from demo.catcher import serve
from tests.servers import unused_port


@pytest.fixture
def caught(tmp_path, settings):
    settings.MAIL_CATCHER_DIR = str(tmp_path)
    message = EmailMessage()
    message["To"], message["From"], message["Subject"] = "imara@example.org", "clinics@example.org", "Can you coach?"
    message.set_content("Say yes or no: http://127.0.0.1/r/abc/")
    port = unused_port()
    controller = serve(tmp_path, port)
    try:
        with smtplib.SMTP("127.0.0.1", port) as server:
            server.send_message(message)
    finally:
        controller.stop()
    return tmp_path


def test_it_keeps_the_whole_message(caught):
    (file,) = caught.glob("*.eml")

    assert b"Subject: Can you coach?" in file.read_bytes()
    assert b"X-Envelope-To: imara@example.org" in file.read_bytes()


@pytest.mark.parametrize("name", ["../../etc/passwd", "..", "no-such-letter", ".hidden", "%2e%2e"])
def test_a_name_from_the_address_opens_only_what_was_caught(caught, name, rf):
    with pytest.raises(Http404):
        mail_page.mail_one(rf.get("/mail/x/"), name=name)
