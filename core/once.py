"""What is read once for a request, a job or a command, and anew for the next one.

So a page asks its small tables once however often it names them, and no process goes by what another has changed.
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
    """One request, job or command. A further one within it reads anew."""
    token = _readings.set({})
    try:
        yield
    finally:
        _readings.reset(token)


def once(name: str, read: Callable[[], T]) -> T:
    """What ``read`` gives, read when it is first asked for within a reading; outside of one, each time."""
    readings = _readings.get()
    if readings is None:
        return read()
    if name not in readings:
        readings[name] = read()
    kept: T = readings[name]
    return kept


def forget(name: str) -> None:
    """Read it anew when it is asked for next: it has just been changed here."""
    readings = _readings.get()
    if readings is not None:
        readings.pop(name, None)
