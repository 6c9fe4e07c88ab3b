"""The floor page's first load: its weight as production sends it, and the time until it works without signal."""

import os
import time
from collections.abc import Iterator
from statistics import median
from typing import Any

import brotli
import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, sync_playwright

from tests import chromium
from tests.benchmarks.conftest import report

pytestmark = pytest.mark.django_db(transaction=True)
MOST_BYTES = 100_000
TIMES = 5
# Playwright runs its own loop in this thread; the pages under test are in the live server's threads.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = chromium.find()
    if path is None:
        pytest.fail("No Chromium was found. Run `make browser`, or set CHROMIUM to the path of one.", pytrace=False)
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-dev-shm-usage"])
        yield running
        running.close()


def first_visit(
    browser: Browser, live_server: Any, cookie: tuple[str, str], address: str, ready: str
) -> tuple[float, int]:
    """Milliseconds until ``ready`` is there on a phone that never came before, and the bytes that production sends."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, base_url=live_server.url)
    context.add_cookies([{"name": cookie[0], "value": cookie[1], "url": f"{live_server.url}/floor/"}])
    page: Page = context.new_page()
    answers: dict[str, Any] = {}
    page.on("response", lambda answer: answers.setdefault(answer.url, answer))
    began = time.perf_counter()
    page.goto(address)
    page.locator(ready).first.wait_for(state="attached")
    took = (time.perf_counter() - began) * 1000
    page.wait_for_load_state("networkidle")
    if address.startswith("/floor/"):
        page.locator("body[data-offline=kept][data-day=fresh]").wait_for()
    sent = 0
    for url, answer in answers.items():
        # The worker fetches the same files once more for its own keeping; a browser takes them from what it has.
        if answer.request.service_worker is None and answer.status == 200:
            body = answer.body()
            sent += len(body) if url.endswith(".woff2") else len(brotli.compress(body))
    context.close()
    return took, sent


def test_first_load_is_light_and_soon_works_without_signal(browser: Browser, live_server: Any, floor: Any) -> None:
    cookie = (f"floor{floor.clinic.pk}", floor.secret)
    page = f"/floor/{floor.clinic.pk}/"
    ways = {
        "login": (reverse("login"), "form"),
        "usable": (page, "ul.door > li"),
        "offline": (page, "body[data-offline=kept][data-day=fresh]"),
    }
    took: dict[str, list[float]] = {name: [] for name in ways}
    weight = 0
    # In turn, so that what else the machine does falls on all alike; the first round warms up.
    for turn in range(TIMES + 1):
        for name, (address, ready) in ways.items():
            spent, sent = first_visit(browser, live_server, cookie, address, ready)
            if turn:
                took[name].append(spent)
            if name == "offline":
                weight = sent
    login = median(took["login"])
    report("floor_first_load", weight / 1000, "kB", weight / MOST_BYTES, "the 100 kB that a first page may weigh")
    report("floor_usable", median(took["usable"]), "ms", median(took["usable"]) / login, "the login page, median")
    report("floor_offline", median(took["offline"]), "ms", median(took["offline"]) / login, "the login page, median")
    assert 40_000 < weight < MOST_BYTES
