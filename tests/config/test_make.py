"""The verbs of the Makefile meet wrong words with a sentence."""

import argparse
import os
import re
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from demo.run import Trouble, check_port, port_number

NOWHERE = {"DATABASE_URL": "postgresql://nobody@127.0.0.1:9/none", "REDIS_URL": "redis://127.0.0.1:9/0"}


def make(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["make", *words], capture_output=True, text=True, timeout=60)


def test_a_missing_verb_is_answered_with_the_list() -> None:
    done = make("dmeo")

    assert done.returncode != 0
    assert "There is no 'make dmeo'" in done.stderr and "demo" in done.stderr


def test_make_alone_says_what_each_verb_does() -> None:
    done = make()

    assert done.returncode == 0
    for verb in ("make env", "make demo", "make test", "make lint", "make bench"):
        assert verb in done.stdout


def test_every_verb_has_its_line_in_the_help_and_in_the_developers_table() -> None:
    (verbs,) = re.findall(r"^VERBS := (.+)$", Path("Makefile").read_text(), re.MULTILINE)
    shown, table = make().stdout, Path("DEVELOPERS.md").read_text()

    assert len(verbs.split()) > 10
    for verb in verbs.split():
        assert re.search(rf"^make {verb} ", shown, re.MULTILINE), verb
        assert f"| `make {verb}` |" in table, verb


@pytest.mark.slow
def test_a_test_that_asks_for_the_database_fails_among_those_without_servers(tmp_path: Path) -> None:
    """As `make rules` runs them: the pure one passes, the other is named, and no server was started for them."""
    two = ["tests/reference/test_ages.py", "tests/people/test_duties.py"]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "tests.no_servers", "-n0", "-q", "-o", f"cache_dir={tmp_path}", *two],
        env={name: value for name, value in os.environ.items() if "XDIST" not in name}
        | NOWHERE
        | {"TMPDIR": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=120,
    )

    assert done.returncode == 1 and " passed" in done.stdout
    assert "tests/people/test_duties.py::test_only_an_admin_keeps_duties asks for the database" in done.stdout
    assert "tests/reference/test_ages.py::" not in done.stdout
    assert list(tmp_path.glob("whistlestop-*")) == []


def test_a_port_in_use_is_named_with_what_to_do() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(Trouble, match=f"Port {port} is in use by another program. Choose another one"):
            check_port(port)


@pytest.mark.parametrize("text", ["0", "65536", "eight", "-1", "80 80", "９０００"])
def test_what_is_no_port_is_said_so(text: str) -> None:
    with pytest.raises(argparse.ArgumentTypeError, match="is not a port"):
        port_number(text)
