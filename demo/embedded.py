"""PostgreSQL and Redis from wheels, for trying the site and for its tests; production brings its own.

A server lives in a folder and may be shared by several of our processes: each holds a shared lock on the
folder's ``users`` file for as long as it lives, and the one that lets go last stops the server. The kernel
drops the lock of a killed process, so no count can go stale. Data stays in the folder between runs.
"""

import atexit
import contextlib
import fcntl
import os
import secrets
import shutil
import signal
import sys
import threading
from collections.abc import Iterator, MutableMapping
from pathlib import Path
from typing import IO

from demo.embedded_postgres import PostgresServer
from demo.embedded_redis import RedisServer
from demo.embedded_servers import EmbeddedServerError, Server, write_private

__all__ = ["EmbeddedServerError", "destroy", "in_use", "postgres", "redis", "release", "secret_key", "supply"]

# A second copy of the demo, such as a test's, keeps its data elsewhere.
VAR = Path(os.environ.get("WHISTLESTOP_VAR") or Path(__file__).resolve().parent.parent / "var")
DEMO = VAR / "demo"

_held: list[tuple[Server, IO[str], int]] = []


def supply(env: MutableMapping[str, str]) -> None:
    """Fill in the demo's servers and secrets when ``env`` names neither a database nor a Redis.

    Does nothing in production, and nothing when either address is given: a half-given pair is for
    config.settings to answer. Raises EmbeddedServerError.
    """
    if env.get("WHISTLESTOP_MODE") == "production" or env.get("DATABASE_URL") or env.get("REDIS_URL"):
        return
    leave_in_order()
    env["DATABASE_URL"] = postgres(DEMO / "postgres")
    env["REDIS_URL"] = redis(DEMO / "redis")
    env.setdefault("WHISTLESTOP_MODE", "demo")
    env.setdefault("SITE_URL", "http://127.0.0.1:8000")
    env.setdefault("SECRET_KEY", secret_key())


def postgres(folder: Path, *, durable: bool = True) -> str:
    """Start, or join, the PostgreSQL of ``folder`` and return its DATABASE_URL.

    ``durable=False`` trades safety in a power cut for speed and is for tests alone.
    Raises EmbeddedServerError.
    """
    return _hold(PostgresServer(folder, durable=durable))


def redis(folder: Path, *, durable: bool = True) -> str:
    """Start, or join, the Redis-compatible server of ``folder`` and return its REDIS_URL.

    Raises EmbeddedServerError.
    """
    return _hold(RedisServer(folder, durable=durable))


def release() -> None:
    """Let go of every server this process holds, the last started first; the last holder stops each."""
    while _held:
        server, users, owner = _held.pop()
        # A forked child inherits the list but not the duty.
        if owner == os.getpid() and server.folder.exists():
            with _alone(server.folder):
                if _alone_among_users(users):
                    server.stop()
        users.close()


def in_use(folder: Path) -> bool:
    """Whether a living process, this one included, holds a server kept in ``folder``/postgres or /redis."""
    for users in folder.glob("*/users"):
        with users.open("a") as file:
            if not _alone_among_users(file):
                return True
    return False


def destroy(folder: Path) -> None:
    """Stop what was left running in ``folder``/postgres and ``folder``/redis and delete the folder.

    Raises EmbeddedServerError when a living process holds a server there.
    """
    if not folder.exists():
        return
    if in_use(folder):
        raise EmbeddedServerError(
            f"The data in {folder} is in use by another command. Stop that command, then try again."
        )
    for server in (PostgresServer(folder / "postgres"), RedisServer(folder / "redis")):
        server.stop()
    shutil.rmtree(folder)


def secret_key(path: Path = VAR / "secret_key") -> str:
    """The demo's signing key: made once, readable by its owner alone."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if not path.exists():
        draft = path.with_name(f"{path.name}.{os.getpid()}")
        write_private(draft, secrets.token_urlsafe(60))
        # Two commands may start at once: the first link stands, and both read it.
        with contextlib.suppress(FileExistsError):
            os.link(draft, path)
        draft.unlink()
    return path.read_text()


def leave_in_order() -> None:
    """Make SIGTERM and SIGHUP end this process the ordinary way, so that it lets go of its servers."""
    if threading.current_thread() is not threading.main_thread():
        return
    for number in (signal.SIGTERM, signal.SIGHUP):
        if signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, lambda received, _frame: sys.exit(128 + received))


def _hold(server: Server) -> str:
    try:
        server.folder.mkdir(parents=True, exist_ok=True)
        with _alone(server.folder):
            users = (server.folder / "users").open("a")
            fcntl.flock(users, fcntl.LOCK_SH)
            _held.append((server, users, os.getpid()))
            return server.start()
    except PermissionError as refusal:
        raise EmbeddedServerError(
            f"{refusal.filename or server.folder} belongs to another user. Use a copy of the project of your "
            "own, or delete its var folder."
        ) from refusal


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Hold the folder's lock: nobody else starts or stops its server meanwhile."""
    while True:
        with (folder / "lock").open("a") as file:
            fcntl.flock(file, fcntl.LOCK_EX)
            if _still_there(folder / "lock", file):
                yield
                return
        folder.mkdir(parents=True, exist_ok=True)


def _still_there(path: Path, file: IO[str]) -> bool:
    """Whether ``path`` still names ``file``: its folder may have been deleted while we waited for the lock."""
    try:
        return os.path.samestat(os.fstat(file.fileno()), path.stat())
    except FileNotFoundError:
        return False


def _alone_among_users(users: IO[str]) -> bool:
    try:
        fcntl.flock(users, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


atexit.register(release)
