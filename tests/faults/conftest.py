"""A full outbox and a mail server to point it at."""

from collections.abc import Callable
from typing import Any

import pytest

from core import clock
from outbox.services.writing import write_note
from people.letters.accounts import PASSWORD_RESET
from people.models import User


@pytest.fixture
def post(settings: Any) -> Callable[[int], None]:
    """Point Django's own sending at a mail server."""

    def inner(port: int) -> None:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port

    return inner


@pytest.fixture
def write(admin: User) -> Callable[[int], None]:
    """Put a number of notes into the outbox, each to a person of its own."""

    def inner(count: int) -> None:
        for number in range(count):
            write_note(
                key=f"test {number}",
                kind=PASSWORD_RESET,
                to_name=f"Person {number}",
                to_email=f"person{number}@example.org",
                summary=f"Note {number}",
                due_at=clock.now(),
                about=[admin],
            )

    return inner
