"""Every page as somebody who can't see it well or holds a small phone meets it."""

import json

import brotli
import pytest
from axe_playwright_python.sync_playwright import DEFAULT_OPTIONS, Axe
from django.urls import reverse
from playwright.sync_api import expect

from core import links
from demo.world import PASSWORD
from shifts.models import Reply
from tests.pages import pages_of_the_demo

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def world():
    pages = pages_of_the_demo()
    return pages.inside, pages.outside


def signed_in_page(open_page):
    page = open_page(bypass_csp=True)
    page.goto(reverse("login"))
    page.get_by_label("E-mail").or_(page.get_by_label("Email")).fill("admin@example.org")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.wait_for_url("**/ahead/")
    return page


def trouble_of(page, width):
    """What axe finds in the page as it stands at this width, and by how much the page is wider."""
    page.set_viewport_size({"width": width, "height": 900})
    found = page.evaluate(f"axe.run({json.dumps(DEFAULT_OPTIONS)})")
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    said = [(v["id"], [n["target"] for n in v["nodes"][:3]]) for v in found["violations"]]
    return said + ([("runs off", wide)] if wide > 0 else [])


@pytest.mark.slow
def test_axe_finds_nothing_and_nothing_runs_off_the_page(world, open_page):
    """As wide as a desk and as wide as a phone: no page asks its width but through its style."""
    inside, outside = world
    script = Axe().axe_script
    trouble = {}
    page, bare = signed_in_page(open_page), open_page(bypass_csp=True)
    for where, addresses in ((page, inside), (bare, outside)):
        for name, address in addresses.items():
            where.goto(address)
            where.evaluate(script)
            for width in (1280, 390):
                if said := trouble_of(where, width):
                    trouble[f"{name} at {width}"] = said
    assert trouble == {}


@pytest.mark.slow
def test_the_strict_policy_lets_every_page_work_without_a_complaint(world, open_page, console, sign_in):
    inside, outside = world
    # A device that is no lead's phone is refused the day's data, which the browser writes into its console.
    del inside["floor"]
    page = open_page(1280)
    page.goto(reverse("login"))
    page.get_by_label("E-mail").or_(page.get_by_label("Email")).fill("admin@example.org")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.wait_for_url("**/ahead/")
    for address in (*inside.values(), *outside.values()):
        page.goto(address)

    assert [line for line in console if "404" not in line] == []


def test_a_volunteer_answers_without_javascript(make_assignment, new_context, live_server, settings):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    settings.SITE_URL = live_server.url
    page = new_context(java_script_enabled=False).new_page()
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    page.goto(reverse("shift-reply", args=[token]))
    page.get_by_role("button", name="No, I can’t make it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("You said you can’t come")


def test_the_first_page_is_light_and_asks_no_other_host(open_page, live_server):
    """Under 100 kB transferred, as production sends it: text through brotli, fonts as they are."""
    answers = []
    page = open_page(1280)
    page.on("response", lambda answer: answers.append((answer.url, answer.body())) if answer.status == 200 else None)
    page.goto(reverse("login"), wait_until="networkidle")

    assert all(url.startswith(live_server.url) for url, _ in answers)
    sent = {url: len(body) if url.endswith(".woff2") else len(brotli.compress(body)) for url, body in answers}
    assert len(sent) >= 4 and sum(sent.values()) < 100_000, sent
