"""The embedded servers: shared by those who live, stopped by the last, not fooled by what a killed one left."""

import re
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import psutil
import psycopg
import pytest
import redis as redis_client

from demo import embedded
from demo.embedded_redis import RedisServer

pytestmark = pytest.mark.thorough

PROGRAM = """
import sys, time
from pathlib import Path
from demo import embedded
from demo.embedded_redis import RedisServer
folder = Path(sys.argv[1])
print(embedded.postgres(folder / "postgres"), flush=True)
print(embedded.redis(folder / "redis"), flush=True)
sys.stdin.read()
"""


class Holder:
    """Another process that holds both servers of a folder until it is let go or killed."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, str(folder)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        self.database_url = self.process.stdout.readline().strip()
        self.redis_url = self.process.stdout.readline().strip()
        assert self.redis_url, "the holder did not get its servers"

    def let_go(self) -> None:
        self.process.communicate(timeout=60)

    def kill(self) -> None:
        self.process.kill()
        self.process.communicate(timeout=60)


@pytest.fixture
def folder() -> Iterator[Path]:
    # Not in pytest's own folder: each other run of pytest that begins closes that one to the account of PostgreSQL.
    with tempfile.TemporaryDirectory(prefix="whistlestop-embedded-", ignore_cleanup_errors=True) as home:
        # Longer than any socket's path may be, and with a blank, as a person's folder may well have.
        place = Path(home) / ("a long way down " * 6) / "demo"
        yield place
        for process in running(place):
            process.kill()


def running(folder: Path) -> list[psutil.Process]:
    """The servers alive in ``folder``; one that has ended but was not buried has no command line."""
    servers = ("postgres", "valkey-server")
    processes = [p for p in psutil.process_iter(["name", "cmdline"]) if p.info["name"] in servers]
    return [process for process in processes if str(folder) in " ".join(process.info["cmdline"] or [])]


def tally(url: str) -> int:
    """Write one row and say how many there are."""
    with psycopg.connect(url, autocommit=True) as db:
        db.execute("CREATE TABLE IF NOT EXISTS tally (at timestamptz)")
        db.execute("INSERT INTO tally VALUES (now())")
        row = db.execute("SELECT count(*) FROM tally").fetchone()
    assert row is not None
    return int(row[0])


def count(url: str) -> int:
    with redis_client.Redis.from_url(url) as client:
        answer = client.incr("count")
    assert isinstance(answer, int)
    return answer


def test_the_data_stays_from_one_run_to_the_next(folder: Path) -> None:
    first = Holder(folder)
    assert (tally(first.database_url), count(first.redis_url)) == (1, 1)
    first.let_go()
    assert running(folder) == []

    second = Holder(folder)

    assert (tally(second.database_url), count(second.redis_url)) == (2, 2)
    second.let_go()


def test_a_second_process_joins_the_servers_and_the_last_to_leave_stops_them(folder: Path) -> None:
    first = Holder(folder)
    second = Holder(folder)
    assert (second.database_url, second.redis_url) == (first.database_url, first.redis_url)

    first.let_go()
    assert (tally(second.database_url), count(second.redis_url)) == (1, 1)

    second.let_go()
    assert running(folder) == []


def test_a_killed_holder_counts_no_more(folder: Path) -> None:
    killed = Holder(folder)
    killed.kill()
    assert len(running(folder)) == 2, "nobody was left to stop the servers"

    heir = Holder(folder)
    assert (heir.database_url, heir.redis_url) == (killed.database_url, killed.redis_url)
    heir.let_go()

    assert running(folder) == []


def test_killed_servers_start_again_with_what_was_written(folder: Path) -> None:
    first = Holder(folder)
    tally(first.database_url)
    for process in running(folder):
        process.kill()
    first.kill()

    second = Holder(folder)

    assert tally(second.database_url) == 2
    second.let_go()


def test_process_numbers_that_now_belong_to_somebody_else_are_not_believed(folder: Path) -> None:
    Holder(folder).let_go()
    stranger = subprocess.Popen(["sleep", "60"])
    try:
        # What a power cut leaves: eight lines in PostgreSQL's own file, one number in ours.
        stale = f"{stranger.pid}\n{folder}/postgres/data\n1764060000\n5432\n/tmp\n\n  1 2\nready   \n"
        (folder / "postgres" / "data" / "postmaster.pid").write_text(stale)
        (folder / "redis" / "server.pid").write_text(str(stranger.pid))

        holder = Holder(folder)

        assert (tally(holder.database_url), count(holder.redis_url)) == (1, 1)
        holder.let_go()
        assert stranger.poll() is None, "a process that is not ours was stopped"
    finally:
        stranger.kill()
        stranger.wait()


def test_a_half_made_database_is_made_anew(folder: Path) -> None:
    half = folder / "postgres" / "data.new"
    half.mkdir(parents=True)
    (half / "PG_VERSION").write_text("18\n")

    holder = Holder(folder)

    assert tally(holder.database_url) == 1
    holder.let_go()


def test_a_server_that_the_system_does_not_list_yet_is_not_started_twice(folder: Path) -> None:
    class ListedLate(RedisServer):
        """For a moment after its start nothing is known of a process but its number."""

        looks = 0

        def process(self, pid_file: Path, name: str, mark: str) -> psutil.Process | None:
            self.looks += 1
            return super().process(pid_file, name, mark) if self.looks > 3 else None

    server = ListedLate(folder / "redis")
    server.folder.mkdir(parents=True)

    url = server.start()

    assert count(url) == 1
    assert len(running(folder)) == 1
    server.looks = 4
    server.stop()
    assert running(folder) == []


def test_data_in_use_is_not_deleted(folder: Path) -> None:
    holder = Holder(folder)

    with pytest.raises(embedded.EmbeddedServerError, match="in use by another command"):
        embedded.destroy(folder)
    assert tally(holder.database_url) == 1

    holder.let_go()
    embedded.destroy(folder)
    assert not folder.exists()


def test_what_a_killed_holder_left_running_is_stopped_before_its_data_is_deleted(folder: Path) -> None:
    Holder(folder).kill()

    embedded.destroy(folder)

    assert running(folder) == [] and not folder.exists()


def test_data_of_another_postgresql_version_is_named(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Holder(folder).let_go()
    # Without parallel workers this process holds the servers of the test run itself, which must not be let go.
    monkeypatch.setattr(embedded, "_held", [])
    (folder / "postgres" / "data" / "PG_VERSION").write_text("12\n")

    with pytest.raises(embedded.EmbeddedServerError, match=r"made by PostgreSQL 12.*RESET=1"):
        embedded.postgres(folder / "postgres")
    embedded.release()


def test_only_the_owner_can_read_what_opens_the_servers(folder: Path) -> None:
    holder = Holder(folder)

    for private in (folder / "redis" / "url", folder / "redis" / "server.conf"):
        assert private.stat().st_mode & 0o077 == 0
    stranger = redis_client.Redis.from_url(re.sub(r"//:[^@]+@", "//:guess@", holder.redis_url))
    with stranger, pytest.raises(redis_client.RedisError, match=r"(?i)password"):
        stranger.ping()
    holder.let_go()


def test_the_key_is_made_once_and_only_its_owner_can_read_it(tmp_path: Path) -> None:
    path = tmp_path / "var" / "secret_key"

    key = embedded.secret_key(path)

    assert len(key) >= 50 and embedded.secret_key(path) == key
    assert path.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    "given",
    [{"WHISTLESTOP_MODE": "production"}, {"DATABASE_URL": "postgres://x/y"}, {"REDIS_URL": "redis://x/0"}],
)
def test_nothing_is_supplied_where_servers_are_named_or_in_production(given: dict[str, str]) -> None:
    env = dict(given)

    embedded.supply(env)

    assert env == given


def test_a_polite_end_stops_the_servers_too(folder: Path) -> None:
    program = PROGRAM.replace(
        "sys.stdin.read()", "embedded.leave_in_order(); print('here', flush=True); time.sleep(60)"
    )
    process = subprocess.Popen([sys.executable, "-c", program, str(folder)], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert any("here" in line for line in process.stdout), "it ended before it had its servers"

    process.send_signal(signal.SIGTERM)
    process.communicate(timeout=60)

    assert process.returncode == 128 + signal.SIGTERM
    assert running(folder) == []
