"""``make demo``: the whole site on this machine, started in order, watched, and stopped in order.

The site and the mail catcher load while the data is prepared; the worker and beat start when there is data to work
on. They are stopped in the other order: first what makes work, then what does it, then what remembers it.
"""

import argparse
import contextlib
import fcntl
import json
import os
import re
import shutil
import socket
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from demo import embedded
from demo.embedded_redis import free_port
from demo.processes import Asked, Bell, Child, stop_together

LOGS = embedded.DEMO / "logs"
MAIL = embedded.DEMO / "mail"
DOORS = embedded.DEMO / "doors.json"
PASSWORD = "lantern-court-demo"
ROLES = ("admin", "coordinator", "floor")
READY_SECONDS = 90
LEAST_FREE = 64 * 1024 * 1024
DISK_FULL = re.compile(r"No space left on device|Check free disk space|Disk quota exceeded", re.IGNORECASE)
FULL = f"The disk is full. Free about 1 GB where {embedded.VAR} is, then run make demo again."


class Trouble(Exception):
    """A sentence for the person at the terminal; the demo can't go on."""


class Demo:
    def __init__(self, port: int) -> None:
        self.port = port
        self.address = f"http://127.0.0.1:{port}"
        self.bell = Bell()
        self.children: list[Child] = []

    def run(self) -> None:
        LOGS.mkdir(parents=True, exist_ok=True)
        say("Starting PostgreSQL and Redis.")
        with self.bell.mute():
            env = self.settings()
        say("Preparing the data.")
        self.start("mail", ["-m", "demo.catcher", str(MAIL), "--port", env["SMTP_PORT"]], env)
        self.start("web", [*WEB, "--bind", f"127.0.0.1:{self.port}"], env)
        self.prepare(env)
        self.wait_until_ready()
        self.start("worker", WORKER, env)
        self.start("beat", [*BEAT, "--schedule", str(embedded.DEMO / "beat-schedule")], env)
        say(self.welcome())
        while True:
            time.sleep(0.5)
            self.look_after_children()

    def settings(self) -> dict[str, str]:
        """The demo's whole configuration: the environment of each child."""
        return os.environ | {
            "WHISTLESTOP_MODE": "demo",
            "DATABASE_URL": embedded.postgres(embedded.DEMO / "postgres"),
            "REDIS_URL": embedded.redis(embedded.DEMO / "redis"),
            "SECRET_KEY": embedded.secret_key(),
            "SITE_URL": self.address,
            "ALLOWED_HOSTS": "127.0.0.1,localhost",
            "SMTP_HOST": "127.0.0.1",
            "SMTP_PORT": str(free_port()),
            "SMTP_USER": "",
            "SMTP_PASSWORD": "",
            "SMTP_STARTTLS": "false",
            "MAIL_FROM": "clinics@example.org",
            "MAIL_CATCHER_DIR": str(MAIL),
            # A person trying it should see a letter arrive while still looking.
            "PLAN_EVERY_SECONDS": "60",
            "SEND_EVERY_SECONDS": "10",
            "PYTHONUNBUFFERED": "1",
        }

    def start(self, name: str, command: list[str], env: dict[str, str]) -> None:
        with self.bell.mute():
            self.children.append(Child(name, command, env, LOGS))

    def prepare(self, env: dict[str, str]) -> None:
        """Bring the data to today, in a child too, so that a Ctrl-C during it stops it."""
        self.start("prepare", ["manage.py", "prepare_demo", "--doors", str(DOORS)], env)
        child = self.children[-1]
        while not child.ended:
            time.sleep(0.05)
            self.look_after_children(but=child)
        self.children.remove(child)
        if child.process.returncode:
            raise Trouble(f"The data could not be prepared. {ending(child.log)}")

    def look_after_children(self, but: Child | None = None) -> None:
        for child in self.children:
            if child.ended and child is not but:
                raise Trouble(f"The demo's {child.name} has stopped. {ending(child.log)}")

    def wait_until_ready(self) -> None:
        deadline = time.monotonic() + READY_SECONDS
        answer = "nothing"
        while time.monotonic() < deadline:
            self.look_after_children()
            try:
                with urllib.request.urlopen(f"{self.address}/health/ready", timeout=5):
                    return
            except urllib.error.HTTPError as refusal:
                answer = refusal.read(300).decode(errors="replace")
            except OSError as refusal:
                answer = str(refusal)
            time.sleep(0.2)
        raise Trouble(f"The site was not ready within {READY_SECONDS} seconds. It answered: {answer}. Logs: {LOGS}")

    def welcome(self) -> str:
        said = json.loads(DOORS.read_text())
        lines = "".join(f"  {one['who']:<12} {one['what']}\n{'':15}{one['address']}\n" for one in said["doors"])
        why_now = f"\n{said['why_now']}\n" if said["why_now"] else ""
        logins = "\n".join(f"  {role:<12} {role}@example.org" for role in ROLES)
        news = f"\n{said['news']}\n" if said["news"] else ""
        return (
            f"{news}\nWhistlestop is at {self.address}\n\n"
            f"Open one of these first:\n{lines}{why_now}\n"
            f"Or log in at {self.address}/log-in/ with the password {PASSWORD} as\n{logins}\n\n"
            f"Every email it sends is kept at {self.address}/mail/\n"
            f"Logs are in {shown(LOGS)}. Ctrl-C stops everything; the data stays for the next time,\n"
            "and make demo RESET=1 starts over.\n"
        )

    def stop(self) -> None:
        """Stop beat and the web first, for they make work; then the worker, the mail catcher and the servers."""
        self.bell.muted = True
        for names in (("prepare", "beat", "web"), ("worker",), ("mail",)):
            stop_together([child for child in self.children if child.name in names], self.bell)
        embedded.release()


WEB = [
    *("-m", "gunicorn", "config.wsgi:application", "--worker-class", "gthread", "--workers", "1", "--threads", "8"),
    *("--graceful-timeout", "4", "--access-logfile", "-", "--no-control-socket"),
    *("--logger-class", "config.access_log.WithoutLinks"),
]
WORKER = [
    *("-m", "celery", "-A", "config", "worker", "--concurrency", "2", "--loglevel", "INFO"),
    *("--without-gossip", "--without-mingle"),
]
BEAT = ["-m", "celery", "-A", "config", "beat", "--pidfile", "", "--loglevel", "INFO"]


@contextlib.contextmanager
def only_one(address: str) -> Iterator[None]:
    """Hold the demo's lock. It lies beside the data, so that it stays when the data is deleted.

    Raises Trouble when the demo of this folder is running already.
    """
    lock = embedded.VAR / "demo.lock"
    try:
        embedded.VAR.mkdir(parents=True, exist_ok=True)
        file: IO[str] = lock.open("a+")
    except PermissionError:
        raise Trouble(f"{lock} belongs to another user. Use a copy of the project of your own.") from None
    with file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.seek(0)
            raise Trouble(
                f"The demo of this folder is running already, at {file.read().strip() or 'an address not known yet'}. "
                "Use that one, or stop it with Ctrl-C where it runs."
            ) from None
        file.truncate(0)
        file.write(address)
        file.flush()
        yield


def check_port(port: int) -> None:
    """Raise Trouble when the web can't listen on ``port``."""
    with socket.socket() as probe:
        # As the web server will: a port just left by another run counts as free.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except PermissionError:
            raise Trouble(
                f"Port {port} is kept for the system. Choose a higher one: make demo DEMO_PORT=8001"
            ) from None
        except OSError:
            raise Trouble(
                f"Port {port} is in use by another program. Choose another one: make demo DEMO_PORT={port + 1}"
            ) from None


def port_number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= 65535):
        raise argparse.ArgumentTypeError(f"'{text}' is not a port. Choose a number from 1 to 65535, such as 8001.")
    return int(text)


def ending(log: Path, lines: int = 15) -> str:
    with contextlib.suppress(OSError):
        return f"The end of {shown(log)}:\n" + "\n".join(log.read_text(errors="replace").splitlines()[-lines:])
    return f"There is no {shown(log)}."


def disk_is_full(said: str) -> bool:
    """Whether a full disk is to blame: ``said`` says so, or little room is left.

    A server that ends because of it says little, so the room is looked at too.
    """
    folder = next(one for one in (embedded.VAR, *embedded.VAR.parents) if one.exists())
    return bool(DISK_FULL.search(said)) or shutil.disk_usage(folder).free < LEAST_FREE


def shown(path: Path) -> str:
    return os.path.relpath(path)


def say(words: str, to: IO[str] | None = None) -> None:
    # A closed terminal takes no more words, and that must not keep us from stopping in order.
    with contextlib.suppress(OSError):
        print(words, file=to or sys.stdout, flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(prog="make demo", description="Run the whole site on this machine.")
    parser.add_argument("--port", type=port_number, default=8000)
    parser.add_argument("--reset", action="store_true", help="delete the demo's data first")
    parser.add_argument("--forget", action="store_true", help="delete the demo's data and do nothing else")
    options = parser.parse_args()
    demo = Demo(options.port)
    try:
        with only_one(demo.address):
            if not options.forget:
                check_port(options.port)
            if options.reset or options.forget:
                embedded.destroy(embedded.DEMO)
            if options.forget:
                return
            try:
                demo.run()
            finally:
                demo.bell.muted = True
                say("\nStopping.")
                demo.stop()
    except Asked:
        say("Stopped.")
    except (Trouble, embedded.EmbeddedServerError, OSError) as reason:
        say(FULL if disk_is_full(str(reason)) else str(reason), sys.stderr)
        sys.exit(1)


if __name__ == "__main__":
    main()
