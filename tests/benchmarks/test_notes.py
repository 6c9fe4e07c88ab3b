"""Notes a second by one sender, as a ratio to a bare smtplib loop to the same mail server."""

import smtplib
import time

import pytest

from clinics.models import Clinic
from core import clock
from outbox.letters import build
from outbox.models import Note
from outbox.services.sending import send_due
from shifts.letters.shifts import SHIFT_ASK
from shifts.models import Reply
from shifts.services.notes_to_volunteers import note_to_volunteer
from tests.benchmarks.conftest import report
from tests.mailbox import Mailbox

NOTES = 400


@pytest.mark.django_db
def test_notes_a_second(make_assignment, make_shift, make_clinic, settings):
    shifts = [make_shift(make_clinic(days=10 + number % 40)) for number in range(NOTES // 10)]
    rows = [make_assignment(shift, reply=Reply.NEEDS_ACTION) for shift in shifts]
    for number in range(NOTES):
        row = rows[number % len(rows)]
        row.sequence = number
        clinic = Clinic.objects.get(pk=row.shift.clinic_id)
        note_to_volunteer(
            kind=SHIFT_ASK, assignment=row, clinic=clinic, summary="A note", now=clock.now(), sequence=number
        )
    note = Note.objects.all()[0]
    raw = build(note, clock.now()).message().as_bytes(linesep="\r\n")
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"

    with Mailbox() as box:
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", box.port
        began = time.perf_counter()
        with smtplib.SMTP("127.0.0.1", box.port) as server:
            for _ in range(NOTES):
                server.sendmail("clinics@example.org", ["imara@example.org"], raw)
        bare = NOTES / (time.perf_counter() - began)
        began = time.perf_counter()
        sent = send_due().sent
        ours = sent / (time.perf_counter() - began)

    assert sent == NOTES and len(box.messages) == 2 * NOTES
    report("notes_per_second", ours, "notes/s", ours / bare, f"a bare smtplib loop at {bare:.0f} notes/s")
