"""Another person's change, in its own transaction, which commits only once our own change waits for it."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.db import connection, transaction

PATIENCE_SECONDS = 20


@contextmanager
def meanwhile(change: Callable[[], object]) -> Iterator[None]:
    """Inside the block ``change`` is written but not committed; it commits once another transaction waits for it."""
    written = threading.Event()

    def run() -> None:
        try:
            with transaction.atomic():
                change()
                written.set()
                wait_for_a_waiter()
        finally:
            connection.close()

    thread = threading.Thread(target=run)
    thread.start()
    assert written.wait(PATIENCE_SECONDS), "the other change was not written"
    try:
        yield
    finally:
        thread.join(PATIENCE_SECONDS)


def wait_for_a_waiter() -> None:
    deadline = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < deadline:
        with connection.cursor() as cursor:
            # A transaction keeps the list of connections that it saw first; one made since would never be seen waiting.
            cursor.execute("SELECT pg_stat_clear_snapshot()")
            cursor.execute(
                "SELECT count(*) FROM pg_locks JOIN pg_stat_activity USING (pid)"
                " WHERE NOT granted AND datname = current_database()"
            )
            if cursor.fetchone()[0]:
                return
        time.sleep(0.02)
    raise AssertionError("nobody waited for the other change")
