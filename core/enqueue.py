"""Waking a worker: one quick try, since the tables hold the work and beat wakes a worker again soon."""

import logging
from typing import Any

from celery import current_app
from kombu.exceptions import OperationalError

log = logging.getLogger(__name__)

__all__ = ["enqueue"]

# Kombu sleeps for seconds between tries unless told otherwise, and the person at the page would wait with it.
ONE_QUICK_TRY = {"max_retries": 0, "socket_timeout": 1, "socket_connect_timeout": 1}


def enqueue(task: str, *args: Any, **options: Any) -> bool:
    """Send a task to the worker. Returns False, and writes a line in the log, when Redis is away."""
    try:
        with current_app.connection_for_write(transport_options=ONE_QUICK_TRY) as connection:
            current_app.send_task(task, args=args, connection=connection, retry=False, **options)
    except OperationalError as problem:
        log.warning("The worker could not be woken for %s (%s).", task, problem)
        return False
    return True
