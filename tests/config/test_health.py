"""The proxy's pages."""

from datetime import timedelta

from django.urls import reverse

from core import clock
from outbox.services.writing import write_note
from people.letters.accounts import PASSWORD_RESET
from tests.servers import unused_port


def test_alive_asks_nothing_of_the_database(client):
    """No db fixture here: a query would fail the test."""
    assert client.get(reverse("health-alive")).json() == {"alive": True}


def test_ready_when_database_broker_and_migrations_are(client, db):
    answer = client.get(reverse("health-ready"))

    assert answer.status_code == 200
    assert answer.json() == {
        "ready": True, "database": True, "migrated": True, "broker": True, "oldest_unsent_seconds": 0,
    }  # fmt: skip


def test_not_ready_without_the_broker(client, db, settings):
    settings.REDIS_URL = f"redis://127.0.0.1:{unused_port()}/0"

    answer = client.get(reverse("health-ready"))

    assert answer.status_code == 503 and answer.json()["broker"] is False


def test_it_tells_how_long_the_oldest_note_waits(client, admin):
    write_note(
        key="old",
        kind=PASSWORD_RESET,
        to_name="A",
        to_email="a@example.org",
        summary="A note",
        due_at=clock.now() - timedelta(minutes=10),
        about=[admin],
    )

    assert 595 <= client.get(reverse("health-ready")).json()["oldest_unsent_seconds"] <= 660
