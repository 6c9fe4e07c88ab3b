"""A real Celery worker in a process of its own, on the test's database, Redis and mail server."""

import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection

from demo.processes import end_with_parent

__all__ = ["Worker", "test_database_url"]

READY = b"ready."


def test_database_url() -> str:
    """DATABASE_URL of the database that this test uses, whatever name pytest gave it."""
    base = os.environ["DATABASE_URL"]
    head, _, query = base.partition("?")
    name = connection.settings_dict["NAME"]
    return head.rsplit("/", 1)[0] + f"/{name}" + (f"?{query}" if query else "")


test_database_url.__test__ = False  # type: ignore[attr-defined]


class Worker:
    """``with Worker(SMTP_PORT=...)``: up when entered; killed, if it still lives, when left."""

    def __init__(self, *, beat: bool = False, **env: Any) -> None:
        self._env = {
            **os.environ,
            "DATABASE_URL": test_database_url(),
            "REDIS_URL": settings.REDIS_URL,
            "SMTP_HOST": "127.0.0.1",
            **{name: str(value) for name, value in env.items()},
        }
        self._beat = beat
        self._log = Path(tempfile.mkstemp(prefix="whistlestop-worker-", suffix=".log")[1])
        self._process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> "Worker":
        self.start()
        return self

    def __exit__(self, *exc: object) -> None:
        self.stop()
        self._log.unlink(missing_ok=True)

    def start(self, seconds: float = 30) -> None:
        command = [sys.executable, "-m", "celery", "-A", "config", "worker", "-P", "solo", "-l", "INFO"]
        command += ["--without-gossip", "--without-mingle"]
        if self._beat:
            command += ["-B", "-s", str(self._log.with_suffix(".beat"))]
        self._log.write_bytes(b"")
        with self._log.open("ab") as log:
            self._process = subprocess.Popen(
                command,
                env=self._env,
                stdout=log,
                stderr=log,
                start_new_session=True,
                preexec_fn=end_with_parent,  # a killed test run must leave no worker behind
            )
        end = time.monotonic() + seconds
        while READY not in self._log.read_bytes():
            if self._process.poll() is not None or time.monotonic() > end:
                raise AssertionError(f"The worker did not start:\n{self.log}")
            time.sleep(0.05)

    @property
    def log(self) -> str:
        return self._log.read_text(errors="replace")

    def kill(self) -> None:
        """Send SIGKILL to the worker and all it started, so that none of them can tidy up."""
        self._signal(signal.SIGKILL)

    def stop(self) -> None:
        self._signal(signal.SIGTERM)

    def _signal(self, number: int) -> None:
        process = self._process
        if process is None or process.poll() is not None:
            return
        os.killpg(process.pid, number)
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait(timeout=10)
