"""`make demo` from start to Ctrl-C: it works, it stops whole, it keeps its data, and it starts over when told to."""

import json
import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urlencode

import psutil
import pytest

from tests.servers import unused_port

pytestmark = pytest.mark.slow

PASSWORD = "lantern-court-demo"


# What the pages say first that the banner's links open, by the first part of their address.
HEADINGS = {
    "demo": "Log in to the demo",
    "r": "Can you",
    "register": "Register for",
    "floor": "Open the floor page on this phone?",
}


class Demo:
    """One run of the demo in a folder of the test's own."""

    def __init__(self, var: Path, *options: str) -> None:
        self.port = unused_port()
        unset = ("DATABASE_URL", "REDIS_URL", "SITE_URL", "SECRET_KEY", "WHISTLESTOP_MODE")
        env = {name: value for name, value in os.environ.items() if name not in unset}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "demo.run", "--port", str(self.port), *options],
            env=env | {"WHISTLESTOP_VAR": str(var)},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        self.said = ""

    def wait(self) -> str:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said += line
            if "starts over" in line:
                return self.said
        raise AssertionError(f"The demo ended early:\n{self.said}")

    def children(self) -> list[psutil.Process]:
        return psutil.Process(self.process.pid).children(recursive=True)

    def stop(self, number: int = signal.SIGINT) -> int:
        self.process.send_signal(number)
        rest, _ = self.process.communicate(timeout=120)
        self.said += rest
        return self.process.returncode

    def get(self, path: str) -> str:
        with urllib.request.urlopen(f"http://127.0.0.1:{self.port}{path}", timeout=60) as answer:
            return str(answer.read().decode())

    def heading(self, address: str) -> str:
        """The first heading behind a link of the banner."""
        with urllib.request.urlopen(address, timeout=60) as answer:
            assert answer.status == 200
            found = re.search(r"<h1[^>]*>(.*?)</h1>", answer.read().decode(), re.DOTALL)
        assert found, address
        return " ".join(found[1].split())

    def sign_in(self, role: str) -> str:
        """The first page after signing in as ``role``."""
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        address = f"http://127.0.0.1:{self.port}/log-in/"
        page = opener.open(address, timeout=60).read().decode()
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
        assert token
        typed = {"username": f"{role}@example.org", "password": PASSWORD, "csrfmiddlewaretoken": token[1]}
        return str(opener.open(address, urlencode(typed).encode(), timeout=60).read().decode())


@pytest.fixture
def var(tmp_path: Path) -> Iterator[Path]:
    folder = tmp_path / "var"
    yield folder
    for process in psutil.process_iter(["cmdline"]):
        if str(folder) in " ".join(process.info["cmdline"] or []):
            process.kill()


def both(page: str) -> bool:
    """Whether the mail page has a volunteer's question and a center's."""
    return "Can you" in page and "Can we use" in page


def left_behind(var: Path, children: list[psutil.Process]) -> list[str]:
    alive = [" ".join(p.cmdline()) for p in children if p.is_running() and p.status() != psutil.STATUS_ZOMBIE]
    held = [" ".join(p.info["cmdline"]) for p in psutil.process_iter(["cmdline"]) if str(var) in str(p.info["cmdline"])]
    return alive + held


def test_it_runs_stops_whole_keeps_its_data_and_starts_over(var: Path) -> None:
    first = Demo(var)
    said = first.wait()
    assert f"http://127.0.0.1:{first.port}" in said
    for role in ("admin", "coordinator", "floor"):
        assert f"{role}@example.org" in said
    assert json.loads(first.get("/health/ready"))["ready"] is True
    links = re.findall(rf"^ +(http://127\.0\.0\.1:{first.port}/\S+)$", said, re.MULTILINE)
    assert [HEADINGS[link.split("/")[3]] in first.heading(link) for link in links] == [True] * 5, links
    assert "To do" in first.sign_in("coordinator")
    assert "Upcoming clinics" in first.sign_in("floor")
    # The worker's first work: the questions that nobody has answered, through real SMTP to the catcher's page.
    end = time.monotonic() + 120
    # The sender writes one after the other, so both are waited for.
    while not both(page := first.get("/mail/")) and time.monotonic() < end:
        time.sleep(0.5)
    assert both(page)

    twice = Demo(var)
    rest, _ = twice.process.communicate(timeout=120)
    assert twice.process.returncode != 0 and "running already" in rest

    children = first.children()
    assert len(children) >= 4
    assert first.stop() == 0, first.said
    time.sleep(0.5)
    assert left_behind(var, children) == []

    second = Demo(var)
    second.wait()
    assert second.get("/mail/").count("Can you") >= page.count("Can you"), "the caught mail is gone"
    children = second.children()
    second.stop(signal.SIGTERM)
    time.sleep(0.5)
    assert left_behind(var, children) == []

    third = Demo(var, "--reset")
    third.wait()
    assert "To do" in third.sign_in("admin")
    assert third.stop() == 0
