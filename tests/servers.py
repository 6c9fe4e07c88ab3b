"""Throw-away PostgreSQL and Redis for a test run, ready before anything reads the settings.

Loaded by ``-p tests.servers``, which pytest does before its other plugins look at DJANGO_SETTINGS_MODULE.
Servers that DATABASE_URL and REDIS_URL name already are used as they are. The parallel workers inherit the
addresses; each has its own test database from pytest-django and its own numbered Redis database from here.
"""

import contextlib
import os
import re
import shutil
import socket
import tempfile
import time
from collections.abc import Generator
from pathlib import Path

import pytest

from demo import embedded
from tests import clock, prepared

PREFIX = "whistlestop-test-"
# Set where our own server has a migrated database to copy; not on a server that somebody else keeps.
TEMPLATE_NAMED = "WHISTLESTOP_TEST_TEMPLATE"
_folder: Path | None = None


@pytest.hookimpl(wrapper=True)
def pytest_load_initial_conftests() -> Generator[None]:
    """A wrapper runs before every plain hook, so before pytest-django loads the settings.

    Once they are loaded the clock is set, so a test file that asks for the time while it loads gets its tests' time.
    """
    os.environ["WHISTLESTOP_MODE"] = "test"
    os.environ.setdefault("SECRET_KEY", "for-tests-only-" + "0123456789" * 5)
    os.environ["SITE_URL"] = "http://testserver"
    os.environ.setdefault("HYPOTHESIS_STORAGE_DIRECTORY", str(embedded.VAR / "cache" / "hypothesis"))
    worker = os.environ.get("PYTEST_XDIST_WORKER", "")
    if worker:
        os.environ["REDIS_URL"] = own_redis(os.environ["REDIS_URL"], worker)
    else:
        start_servers()
    result = yield
    clock.begin()
    return result


def pytest_unconfigure() -> None:
    if _folder is not None:
        embedded.release()
        shutil.rmtree(_folder, ignore_errors=True)


def start_servers() -> None:
    global _folder
    # Nothing listens there: a test that sends mail brings its own server or Django's outbox.
    os.environ["SMTP_HOST"] = "127.0.0.1"
    os.environ["SMTP_PORT"] = str(unused_port())
    if os.environ.get("DATABASE_URL") and os.environ.get("REDIS_URL"):
        return
    embedded.leave_in_order()
    sweep()
    _folder = Path(tempfile.mkdtemp(prefix=PREFIX))
    try:
        if not os.environ.get("DATABASE_URL"):
            prepared.copy_into(_folder / "postgres", PREFIX)
            os.environ["DATABASE_URL"] = embedded.postgres(_folder / "postgres", durable=False)
            os.environ[TEMPLATE_NAMED] = prepared.TEMPLATE
        if not os.environ.get("REDIS_URL"):
            os.environ["REDIS_URL"] = embedded.redis(_folder / "redis", durable=False)
    except embedded.EmbeddedServerError as reason:
        raise pytest.UsageError(str(reason)) from reason


def sweep() -> None:
    """Take away what a killed run left behind."""
    for left in Path(tempfile.gettempdir()).glob(f"{PREFIX}*"):
        # Another run may be about to start its servers in a folder this young.
        with contextlib.suppress(OSError, embedded.EmbeddedServerError):
            if time.time() - left.stat().st_mtime > 120:  # noqa: TID251 - a folder's age goes by the system
                embedded.destroy(left)


def own_redis(url: str, worker: str) -> str:
    """``url`` with the database number of the worker: gw0 has 1, gw1 has 2; 0 is the controller's."""
    number = int(worker.removeprefix("gw")) + 1
    return re.sub(r"(/\d*)?$", f"/{number}", url, count=1)


def unused_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port
