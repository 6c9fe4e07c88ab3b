"""The verbs of the Makefile meet wrong words with a sentence."""

import argparse
import socket
import subprocess

import pytest

from config.demo import Trouble, check_port, port_number


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
