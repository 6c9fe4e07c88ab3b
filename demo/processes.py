"""The demo's processes and the signals that stop them.

Each is in a process group of its own, so that a Ctrl-C in the terminal reaches the demo alone.
"""

import contextlib
import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import FrameType

__all__ = ["Asked", "Bell", "Child", "end_with_parent", "stop_together"]

ROOT = Path(__file__).resolve().parent.parent
STOP_SECONDS = 8
PR_SET_PDEATHSIG = 1


class Asked(BaseException):
    """Somebody asked the demo to stop: Ctrl-C, SIGTERM, or the terminal was closed."""


class Bell:
    """Turns the first stop signal into Asked; a later one only means "faster"."""

    def __init__(self) -> None:
        self.rung = 0
        self.muted = False
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self.ring)

    def ring(self, _number: int, _frame: FrameType | None) -> None:
        self.rung += 1
        if not self.muted:
            self.muted = True
            raise Asked

    @contextlib.contextmanager
    def mute(self) -> Iterator[None]:
        """Put the signal off while something is half started that nobody could find again."""
        self.muted = True
        yield
        self.muted = False
        if self.rung:
            self.muted = True
            raise Asked


class Child:
    """One process of the demo, its log and its group."""

    def __init__(self, name: str, command: Sequence[str], env: dict[str, str], logs: Path) -> None:
        self.name = name
        self.log = logs / f"{name}.log"
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                [sys.executable, *command],
                cwd=ROOT,
                env=env,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
                preexec_fn=end_with_parent,
            )

    @property
    def ended(self) -> bool:
        return self.process.poll() is not None


def stop_together(children: Sequence[Child], bell: Bell) -> None:
    """Ask them all to go, wait, and end whatever is left of their groups; a second Ctrl-C ends the waiting."""
    for child in children:
        if not child.ended:
            child.process.terminate()
    deadline = time.monotonic() + STOP_SECONDS
    while not all(child.ended for child in children) and time.monotonic() < deadline and bell.rung < 2:
        time.sleep(0.05)
    for child in children:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(child.process.pid, signal.SIGKILL)
        child.process.wait()


def end_with_parent() -> None:
    """On Linux, ask the kernel to stop this child if the demo itself is killed and can't do it."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
