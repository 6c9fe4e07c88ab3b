"""Chromium for the journeys. A missing one fails the run with a sentence; nothing is skipped."""

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from core import clock
from people.models import User
from tests import chromium
from tests.browser.bare_page import bare, module
from tests.browser.floor_page import MASTS
from tests.browser.mast import Mast
from tests.conftest import PASSWORD
from tests.mailbox import Mailbox

# Playwright runs its own loop in this thread; the pages under test are in the live server's threads.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
# A loaded machine is slow, and a page that comes late is not wrong.
expect.set_options(timeout=15_000)

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-sync",
    "--no-first-run",
]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = chromium.find()
    if path is None:
        pytest.fail("No Chromium was found. Run `make browser`, or set CHROMIUM to the path of one.", pytrace=False)
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield running
        running.close()


@pytest.fixture
def console() -> list[str]:
    """What the browser complained about; a journey ends with this empty."""
    return []


@pytest.fixture
def new_context(browser: Browser, live_server: Any) -> Iterator[Callable[..., BrowserContext]]:
    """Somebody's browser, with nothing in it yet, at the live server.

    The tables are emptied after the test, and a request that is still being answered would stand in the way:
    so every browser closes first, and then the server finishes what it has begun.
    """
    contexts: list[BrowserContext] = []
    masts = ExitStack()

    def inner(**options: Any) -> BrowserContext:
        mast = masts.enter_context(Mast())
        contexts.append(browser.new_context(base_url=live_server.url, proxy={"server": mast.url}, **options))
        MASTS[contexts[-1]] = mast
        # The page's own clock shows what the site's does, and goes on from there.
        contexts[-1].clock.install(time=clock.now())
        return contexts[-1]

    yield inner
    for context in contexts:
        context.close()
        del MASTS[context]
    masts.close()
    patience = time.monotonic() + 30
    for thread in threading.enumerate():
        if "process_request_thread" in thread.name:
            thread.join(timeout=max(0, patience - time.monotonic()))
            assert not thread.is_alive(), f"{thread.name} still answers a browser that is closed."


@pytest.fixture
def open_page(
    new_context: Callable[..., BrowserContext], live_server: Any, settings: Any, console: list[str]
) -> Callable[..., Page]:
    """A page of its own context, as wide as a desk (1280) or a phone (390), with the strict policy in force."""
    # Links in mail are built from SITE_URL, so that it must be where the pages are.
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]

    def inner(width: int = 1280, bypass_csp: bool = False) -> Page:
        context = new_context(viewport={"width": width, "height": 900}, bypass_csp=bypass_csp)
        context.set_default_timeout(15_000)
        page = context.new_page()
        page.on("console", lambda message: console.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda problem: console.append(str(problem)))
        return page

    return inner


@pytest.fixture
def sign_in(open_page: Callable[..., Page]) -> Callable[..., Page]:
    def inner(account: User, width: int = 1280, bypass_csp: bool = False) -> Page:
        return enter(open_page(width, bypass_csp), account)

    return inner


def enter(page: Page, account: User) -> Page:
    """By name and password, as a person does."""
    page.goto("/")
    page.get_by_label("E-mail").or_(page.get_by_label("Email")).fill(account.email)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    return page


@pytest.fixture
def box(settings):
    """A real mail server, and the settings that send to it."""
    with Mailbox() as running:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", running.port
        yield running


@pytest.fixture
def rules(browser: Browser) -> Iterator[Page]:
    """A page on which the names of the floor page's ``rules`` are known."""
    context = browser.new_context()
    page = bare(context)
    # Their names without more ado, for the tests below.
    page.evaluate(f"import('{module('rules')}').then((rules) => {{ Object.assign(globalThis, rules); }})")
    yield page
    context.close()


@pytest.fixture
def floor_phone(
    new_context: Callable[..., BrowserContext], live_server: Any, floor: Any, console: list[str]
) -> Callable[..., BrowserContext]:
    """A phone of its own on which the lead opened the floor page; ``days`` is how wrong its clock is.

    With ``touch`` it takes taps of a thumb, which fall where they fall.
    """

    def inner(
        secret: str = floor.secret, days: int = 0, bypass_csp: bool = False, touch: bool = False
    ) -> BrowserContext:
        context = new_context(viewport={"width": 390, "height": 844}, bypass_csp=bypass_csp, has_touch=touch)
        context.set_default_timeout(10_000)
        address = f"{live_server.url}/floor/"
        context.add_cookies([{"name": f"floor{floor.clinic.pk}", "value": secret, "url": address}])
        if days:
            context.add_init_script(WRONG_CLOCK.replace("DAYS", str(days)))
        context.on("weberror", lambda problem: console.append(str(problem.error)))
        return context

    return inner


WRONG_CLOCK = """
const Real = Date, off = DAYS * 864e5;
globalThis.Date = class extends Real {
  constructor(...parts) { if (parts.length) super(...parts); else super(Real.now() + off); }
  static now() { return Real.now() + off; }
};
"""
