"""One run of test files in a child of this process, which dies with it and leaves nothing behind."""

import contextlib
import importlib
import os
import signal
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Outcome", "run_tests", "warm_up"]

from tests.street import ROOMS

# Packages of others take most of a test file's start: they are imported once, before the first child.
SLOW_TO_IMPORT = (
    "pytest", "hypothesis", "hypothesis.strategies", "dateutil.relativedelta", "django.db.models", "django.test",
    "django.forms", "django.contrib.postgres.constraints", "psycopg", "celery", "icalendar", "holidays", "PIL.Image",
    "cryptography.fernet", "aiosmtpd.controller", "time_machine", "pghistory.config",
)  # fmt: skip
OURS = (*ROOMS, "tests")
PURE = ("--noconftest", "-c", os.devnull, "-p", "no:django", "-p", "no:xdist", "-p", "no:cacheprovider")
# A plain test may still ask Django in a process of its own; port 9 answers nobody.
NO_SERVERS = {
    "DJANGO_SETTINGS_MODULE": "config.settings",
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:9/none",
    "REDIS_URL": "redis://127.0.0.1:9/0",
    "SECRET_KEY": "for-checks-only",
    "SITE_URL": "http://127.0.0.1",
    "WHISTLESTOP_MODE": "test",
}
SERVED = ("-n0", "--reuse-db")
EVERY = ("-x", "-q", "--no-header", "--tb=line", "-W", "ignore")


@dataclass(frozen=True)
class Outcome:
    """``code`` is pytest's: 0 all passed, 1 some failed; None when the time was over. ``said`` is its last output."""

    code: int | None
    seconds: float
    said: str


def warm_up() -> None:
    for name in SLOW_TO_IMPORT:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)


def run_tests(tree: Path, files: Sequence[str], *, pure: bool, seconds: float, more: Sequence[str] = ()) -> Outcome:
    """Run the files in ``tree`` until the first failure. A run that takes longer than ``seconds`` is killed."""
    out = tree / "trial.out"
    begun = time.monotonic()
    child = os.fork()
    if child == 0:
        words = [*EVERY, *(PURE if pure else SERVED), f"--rootdir={tree}", *more, *files]
        _be_the_child(tree, words, out, NO_SERVERS if pure else {})
    try:
        code = _wait(child, begun + seconds)
    except BaseException:
        _kill(child)
        raise
    return Outcome(code, time.monotonic() - begun, out.read_text(errors="replace")[-4000:])


def _wait(child: int, until: float) -> int | None:
    pause = 0.005
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            _kill_group(child)
            return os.waitstatus_to_exitcode(status)
        time.sleep(pause)
        pause = min(pause * 1.2, 0.1)
    _kill(child)
    return None


def _kill(child: int) -> None:
    _kill_group(child)
    with contextlib.suppress(ChildProcessError):
        os.waitpid(child, 0)


def _kill_group(child: int) -> None:
    """Whatever the tests started is of the child's own session."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)


def _be_the_child(tree: Path, args: list[str], out: Path, env: Mapping[str, str]) -> None:
    code = 70
    try:
        os.setsid()
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, signal.SIG_DFL)
        with out.open("w") as file:
            for stream in (1, 2):
                os.dup2(file.fileno(), stream)
        os.chdir(tree)
        # Only the tree's own modules count, and none that this process has read already.
        for name in [name for name in sys.modules if name.split(".")[0] in OURS]:
            del sys.modules[name]
        here = str(Path(__file__).resolve().parents[2])
        sys.path[:] = [str(tree), *(one for one in sys.path if one not in ("", here, str(tree)))]
        # Python runs the child's tests from the source as it is now, and keeps no translation of it.
        sys.dont_write_bytecode = True
        os.environ.update(env)
        os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = str(tree / "var" / "hypothesis")
        with _same_examples():
            import pytest

            code = int(pytest.main(args))
            sys.stdout.flush()
    finally:
        os._exit(code)


@contextlib.contextmanager
def _same_examples() -> Iterator[None]:
    """Equal seeds must mean equal answers, on a slow machine too."""
    from hypothesis import HealthCheck, Phase, settings

    settings.register_profile(
        "mutants",
        derandomize=True,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        # That it fails is all we ask: nobody reads the smallest example.
        phases=(Phase.explicit, Phase.generate),
    )
    settings.load_profile("mutants")
    yield
