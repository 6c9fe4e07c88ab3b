"""What the web process writes of each request: which page and what came of it, and no link that opens one."""

import os
import subprocess
import sys
import time
import urllib.error
import urllib.request
from datetime import UTC, datetime

import pytest

from core import links
from core.logs import without_links
from demo.run import WEB
from tests.servers import unused_port

FOREVER = datetime(2099, 1, 1, tzinfo=UTC)


def test_a_signed_link_is_not_written_and_anything_else_is():
    token = links.make("family", subject=7, counter=0, expires_at=FOREVER)

    assert without_links(f"Not Found: /family/{token}/children/4/") == "Not Found: /family/(link)/children/4/"
    assert without_links(f"GET /family/{token.replace(':', '%3A')}/") == "GET /family/(link)/"
    plain = (
        "2026-11-25 21:46:16,399 INFO Task x[e461cd73-21e8-479d-80f5-ef068b4c8a09] http://testserver:8000/register/3/"
    )
    assert without_links(plain) == plain


@pytest.mark.thorough
def test_the_web_process_writes_no_link(tmp_path):
    """A real gunicorn, started as the demo and the container start it."""
    port, token = unused_port(), links.make("other", subject=7, counter=0, expires_at=FOREVER)
    log = (tmp_path / "web.log").open("wb")
    web = subprocess.Popen(
        [sys.executable, *WEB, "--bind", f"127.0.0.1:{port}"], stdout=log, stderr=log, env=os.environ
    )
    try:
        deadline = time.monotonic() + 30
        while True:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/family/{token}/", timeout=10)
            except urllib.error.HTTPError as answer:
                assert answer.code == 404
                break
            except OSError:
                assert time.monotonic() < deadline, (tmp_path / "web.log").read_text()
                time.sleep(0.2)
    finally:
        web.terminate()
        web.wait(20)
        log.close()
    written = (tmp_path / "web.log").read_text()
    assert '"GET /family/(link)/ HTTP/1.1" 404' in written and token not in written
