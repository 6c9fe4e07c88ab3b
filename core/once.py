"""Reads a value once for a request, a job or a command, and again for the next one.

So a page reads its small tables once, however often it uses them, and no process keeps an old value for long.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, TypeVar

__all__ = ["forget", "once", "reading"]

T = TypeVar("T")

_readings: ContextVar[dict[str, Any] | None] = ContextVar("readings", default=None)


@contextmanager
def reading() -> Iterator[None]:
    """Surround one request, job or command. One inside another reads again."""
    token = _readings.set({})
    try:
        yield
    finally:
        _readings.reset(token)


def once(name: str, read: Callable[[], T]) -> T:
    """Return what ``read`` returns. Inside a reading it is called once for each ``name``; outside, each time."""
    readings = _readings.get()
    if readings is None:
        return read()
    if name not in readings:
        readings[name] = read()
    kept: T = readings[name]
    return kept


def forget(name: str) -> None:
    """Let ``once`` read this name again next time, because its value was just changed here."""
    readings = _readings.get()
    if readings is not None:
        readings.pop(name, None)
