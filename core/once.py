"""Reads a value once for a request, a job or a command, and anew for the next one.

So a page reads its small tables once however often it names them, and no process uses what another has changed.
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
    """Surround one request, job or command. A further one inside it reads anew."""
    token = _readings.set({})
    try:
        yield
    finally:
        _readings.reset(token)


def once(name: str, read: Callable[[], T]) -> T:
    """Return what ``read`` gives. A reading calls it once for each ``name``; outside of one it is called each time."""
    readings = _readings.get()
    if readings is None:
        return read()
    if name not in readings:
        readings[name] = read()
    kept: T = readings[name]
    return kept


def forget(name: str) -> None:
    """Let ``once`` read this name anew next time, because it has just been changed here."""
    readings = _readings.get()
    if readings is not None:
        readings.pop(name, None)
