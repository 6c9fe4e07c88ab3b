"""The floor page's modules: each does nothing by itself, and together they work under the names of production."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as site
from django.core.management import call_command
from django.templatetags.static import static
from playwright.sync_api import Page, expect

from floor.views.page import FLOOR_MODULES
from tests.browser.bare_page import ORIGIN, bare, module
from tests.browser.floor_page import all_sent, find_signal, line, load, lose_signal, sign_in

pytestmark = [pytest.mark.browser]
# What a module could have left behind: names, elements, words in the console come by themselves.
TRACES = """async () => [Object.getOwnPropertyNames(globalThis).sort(), document.documentElement.outerHTML,
  (await indexedDB.databases()).length, (await caches.keys()).length, await navigator.locks.query()]"""
IMPORT = re.compile(r'from "\./([^"]+)";')


@pytest.fixture
def collected(settings: Any, tmp_path: Path) -> Iterator[Path]:
    """Static files as production has them: collected, and named by what is in them."""
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = settings.STORAGES | {"staticfiles": {"BACKEND": "core.static_files.HashedFiles"}}
    call_command("collectstatic", interactive=False, verbosity=0)
    # The test's server finds what it serves; no file of the repository has such a name.
    settings.STATICFILES_DIRS = [tmp_path, *settings.STATICFILES_DIRS]
    yield tmp_path


@pytest.mark.parametrize("name", FLOOR_MODULES)
def test_a_module_that_is_imported_alone_does_nothing(browser, name):
    context = browser.new_context()
    page = bare(context)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url.removeprefix(ORIGIN)))
    before = page.evaluate(TRACES)
    handed_out = page.evaluate(f"import('{module(name)}').then((all) => Object.keys(all))")

    assert handed_out and page.evaluate(TRACES) == before and said == []
    assert set(asked) <= {module(other) for other in FLOOR_MODULES}
    context.close()


def shell_of(page: Page) -> set[str]:
    words = page.evaluate("fetch('/floor/sw.js').then((answer) => answer.text())")
    return set(json.loads(words.split("\n")[0].removeprefix("const SHELL = ").removesuffix(";")))


def reached(folder: Path, address: str) -> set[str]:
    """The addresses that a module asks for, itself and by what it imports."""
    found: set[str] = set()
    left = [address]
    while left:
        one = left.pop()
        if one not in found:
            found.add(one)
            words = (folder / one.removeprefix(site.STATIC_URL)).read_text(encoding="utf-8")
            left.extend(f"{one.rsplit('/', 1)[0]}/{name}" for name in IMPORT.findall(words))
    return found


def sent(folder: Path, address: str) -> int:
    """How many bytes of it go over the line: production keeps a smaller copy beside what can be made smaller."""
    file = folder / address.removeprefix(site.STATIC_URL)
    smaller = file.with_name(f"{file.name}.br")
    return (smaller if smaller.exists() else file).stat().st_size


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_under_production_names_the_page_fetches_each_part_once_and_starts_cold_without_signal(
    collected, floor_phone, floor, live_server, console
):
    context = floor_phone()
    asked: list[str] = []
    context.on("request", lambda one: asked.append(one.url) if one.service_worker is None else None)
    page = load(context, floor)
    wanted = [url.removeprefix(live_server.url) for url in asked if "/static/" in url]
    shell = shell_of(page)

    assert all(url.startswith(live_server.url) for url in asked)
    # A browser without a window fetches no icon.
    assert sorted({*wanted, static("core/favicon.svg")}) == sorted(shell)
    assert len(wanted) == len(set(wanted)), "nothing is fetched under two names or twice"
    scripts = {address for address in shell if address.endswith(".js")}
    assert reached(collected, static("floor/main.js")) == scripts
    assert all(re.search(r"\.[0-9a-f]{12}\.js$", address) for address in scripts)
    sizes = {address: sent(collected, address) for address in shell}
    assert min(sizes.values()) > 100 and sum(sizes.values()) < 100_000, sizes

    sign_in(page, "Wren Ash")
    all_sent(page)
    page.close()
    lose_signal(context)
    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(line(page, "Wren Ash").get_by_role("button", name="sign out")).to_be_visible()
    sign_in(page, "Fern Moss")
    find_signal(context)
    all_sent(page)
    assert console == []
