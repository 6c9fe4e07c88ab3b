"""A PostgreSQL with every migration done, kept in var/cache and copied into the throw-away folder of each run.

Making the tables takes ten seconds and more, and each parallel worker needs a database of its own. So one database is
migrated when the migrations change, and every worker's is copied from it by PostgreSQL (``TEST: TEMPLATE``). Django
still migrates the copy: a migration that is not in it yet is done there, and what is written after every migrate
comes from the code of today. A copy has the same rows as a database made from nothing.
"""

import fcntl
import os
import re
import shutil
import subprocess
import sys
import tempfile
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

import psycopg

from demo import embedded
from demo.embedded_postgres import borrowed_account

ROOT = Path(__file__).resolve().parent.parent
CACHE = embedded.VAR / "cache"
NAME = "test-postgres-"
TEMPLATE = "whistlestop_migrated"
# Branches with other migrations take turns in one folder; more than these are taken away.
KEPT = 3
# What comes with migrations of its own, writes the triggers or decides how the folder looks.
PACKAGES = ("Django", "django-axes", "django-pghistory", "django-pgtrigger", "embedded-postgres")
FILES = ("config/settings.py", "demo/embedded_postgres.py", "tests/prepared.py")
IMPORTED = re.compile(r"^(?:import|from) ((?:config|people|clinics|scheduling)[.\w]*)", re.MULTILINE)


def copy_into(folder: Path, prefix: str) -> None:
    """Put a migrated PostgreSQL into ``folder``/data, for demo.embedded to start there.

    It is made first when there is none for these migrations, under ``prefix`` in the system's temporary folder.
    One process at a time: a second run waits and finds what the first made, and nothing is swept while it is read.
    A killed run loses its lock, and a folder gets its name only when it is complete.
    """
    CACHE.mkdir(parents=True, exist_ok=True)
    with (CACHE / f"{NAME}lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        wanted = CACHE / (NAME + fingerprint(ROOT))
        sweep(CACHE, wanted)
        if not wanted.exists():
            make(wanted, prefix)
        os.utime(wanted)
        copy(wanted, folder)


def fingerprint(root: Path) -> str:
    """A name for all that the tables and triggers come from: the same name, the same database."""
    files = {path.relative_to(root) for path in root.glob("*/migrations/*.py")}
    for path in sorted(files):
        for module in IMPORTED.findall((root / path).read_text()):
            inside = Path(*module.split("."))
            files |= {path for path in (inside.with_suffix(".py"), inside / "__init__.py") if (root / path).exists()}
    parts = [f"{name} {version(name)}".encode() for name in PACKAGES]
    for path in sorted(files | {Path(name) for name in FILES}):
        parts += [str(path).encode(), (root / path).read_bytes()]
    return sha256(b"\0".join(sha256(part).digest() for part in parts)).hexdigest()[:16]


def sweep(cache: Path, wanted: Path) -> None:
    """Take away half-made folders and all but the few that were used last."""
    kept = []
    for path in cache.glob(f"{NAME}*"):
        if path.suffix == ".new":
            shutil.rmtree(path)
        elif path.is_dir() and path != wanted:
            kept.append(path)
    for path in sorted(kept, key=lambda path: path.stat().st_mtime, reverse=True)[KEPT - 1 :]:
        shutil.rmtree(path)


def make(wanted: Path, prefix: str) -> None:
    """Start an empty PostgreSQL, migrate a database in it, stop it in good order and keep its folder."""
    print("The migrations have changed: their tables are made once, which takes half a minute.", file=sys.stderr)
    work = Path(tempfile.mkdtemp(prefix=prefix))
    try:
        address = embedded.postgres(work / "postgres", durable=False)
        migrate(address)
        embedded.release()
        if (work / "postgres" / "data" / "postmaster.pid").exists():
            raise embedded.EmbeddedServerError(f"PostgreSQL in {work} did not stop in good order. Run the tests again.")
        draft = wanted.with_suffix(".new")
        shutil.copytree(work / "postgres" / "data", draft, symlinks=True)
        os.sync()  # the server ran without waiting for the disk
        draft.rename(wanted)
    finally:
        embedded.release()
        shutil.rmtree(work, ignore_errors=True)


def migrate(address: str) -> None:
    with psycopg.connect(address, autocommit=True) as db:
        db.execute(f"CREATE DATABASE {TEMPLATE}")
    done = subprocess.run(
        [sys.executable, "-m", "tests.prepared"],
        env={**os.environ, "DATABASE_URL": beside(address, TEMPLATE), "REDIS_URL": "redis://127.0.0.1:9/0"},
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise embedded.EmbeddedServerError(f"The migrations did not go through:\n{done.stdout}{done.stderr}")
    with psycopg.connect(address, autocommit=True) as db:
        # No one may connect to it, since a connection would block a copy.
        db.execute(f"ALTER DATABASE {TEMPLATE} WITH ALLOW_CONNECTIONS false")


def beside(address: str, name: str) -> str:
    """The address of another database of the same server."""
    head, _, query = address.partition("?")
    return f"{head.rsplit('/', 1)[0]}/{name}?{query}"


def copy(wanted: Path, folder: Path) -> None:
    folder.mkdir(parents=True)
    data = folder / "data"
    shutil.copytree(wanted, data, symlinks=True)
    account = borrowed_account()
    if account:
        for path in (data, *data.rglob("*")):
            os.chown(path, account["user"], account["group"], follow_symlinks=False)


def main() -> None:
    """Migrate the database of DATABASE_URL as Django's test runner does, without the rows that every migrate writes."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    import django
    from django.core.management import call_command
    from django.db.models.signals import post_migrate

    django.setup()
    post_migrate.receivers.clear()
    call_command("migrate", verbosity=0, interactive=False, run_syncdb=True)


if __name__ == "__main__":
    main()
