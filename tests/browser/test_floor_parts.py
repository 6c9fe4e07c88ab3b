"""Every part of the floor page in every state it can be in: axe, thumb-sized targets, no sideways scrolling."""

from datetime import UTC, datetime, timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from core import clock
from families.models import Child, Spot
from floor.services.phones import floor_address, open_phone
from tests.browser.floor_page import (
    all_sent,
    at_part,
    find_signal,
    line,
    load,
    lose_signal,
    sign_in,
)
from tests.browser.test_floor_door import SMALL, kept_away, with_sheet  # noqa: F401
from tests.floor_days import entry, send

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
LONG = "Bartholomew-Maximilian Featherstonehaugh-Cholmondeley"


class Look:
    """Looks at a page as it is, and remembers what is wrong with it."""

    def __init__(self):
        self.trouble = {}

    def __call__(self, page, name):
        found = [(one["id"], one["nodes"][0]["html"][:200]) for one in Axe().run(page).response["violations"]]
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        small = page.evaluate(SMALL)
        if found or wide > 0 or small:
            self.trouble[name] = (found, wide, small)


@pytest.fixture
def look():
    return Look()


@pytest.mark.slow
def test_every_part_in_trouble_is_readable_pressable_and_stays_in_its_width(
    floor_phone, floor, now, look, kept_away  # noqa: F811
):  # fmt: skip
    Child.objects.filter(pk=floor.children[1].pk).update(name=LONG)
    Spot.objects.filter(child=floor.children[1]).update(state="waiting")
    other, _ = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    wren, moment = f"c{floor.children[0].pk}", clock.now()
    send(floor, entry(1000, "in", moment, who=wren), entry(1001, "out", moment, who=wren, pickup="Uncle Bram"))
    send(
        floor, entry(1, "out", clock.now(), who=wren, pickup="Petra"), entry(2, "note", now, words="x" * 180),
        entry(3, "out", now, who=f"v{floor.coach.volunteer_id}", pickup=""), phone=other, now=clock.now(),
    )  # fmt: skip
    context = with_sheet(floor_phone(bypass_csp=True))
    page = load(context, floor)
    sign_in(page, LONG, "Bryn Vale")
    expect(page.locator("#alarm")).to_contain_text("No adult is signed in")
    look(page, "the alarm")
    page.get_by_role("button", name="Adults").click()
    look(page, "adults")
    page.get_by_role("button", name="All", exact=True).click()
    line(page, LONG).locator("summary").click()
    look(page, "a long name, opened")
    line(page, "Bryn Vale").get_by_role("button", name="sign out").click()
    page.get_by_label("Someone else (name)").fill("Rafe Vale")
    page.get_by_role("button", name="Someone else is picking up").click()
    look(page, "must not pick up")
    page.get_by_label("Someone else (name)").fill("Petra Lang")
    page.get_by_role("button", name="Someone else is picking up").click()
    look(page, "not on the list")
    page.get_by_label("Search by name").fill("zzz")
    look(page, "nobody found")
    page.get_by_label("Search by name").fill("")
    page.get_by_role("button", name="Add a walk-in").click()
    page.get_by_role("button", name="Register and sign in").click()
    look(page, "a walk-in without a name")
    lose_signal(context)
    at_part(page, "Run sheet")
    page.get_by_role("button", name="Start this slot now").click()
    for summary in page.locator(".station summary").all():
        summary.click()
    look(page, "run sheet, all opened, without signal")
    at_part(page, "Scores")
    page.locator("#score-who").select_option(label=LONG)
    for key in ("Made", "Made", "Made"):
        page.get_by_role("button", name=key, exact=True).click()
    look(page, "scores kept")
    at_part(page, "Incident")
    page.get_by_role("button", name="Save the report").click()
    look(page, "something happened without words")
    page.get_by_label("What happened").fill("Fell")
    page.get_by_role("button", name="Hit to the head").click()
    page.locator("#happened-who").select_option(label=LONG)
    page.get_by_role("button", name="Save the report").click()
    look(page, "something happened")
    at_part(page, "Door")
    sign_in(page, "Oswin Tarrant")
    find_signal(context)
    all_sent(page)
    Spot.objects.filter(child=floor.children[2]).delete()
    # As a key does it, before the page hears of the list without her.
    line(page, "Bryn Vale").get_by_role("button", name="Uncle Bram").dispatch_event("click")
    at_part(page, "Close the day")
    expect(page.get_by_text("Entries that weren’t accepted")).to_be_visible()
    expect(page.locator(".conflict")).to_have_count(2)
    page.get_by_label("Oswin Tarrant").fill("9999")
    page.get_by_role("button", name="Save these minutes").click()
    page.get_by_role("button", name="Save this note").click()
    look(page, "closing with everything open")
    page.get_by_role("button", name="Erase this phone").click()
    look(page, "leaving")
    lose_signal(context)
    page.locator("#leave-sure").click()
    expect(page.locator("#untold")).to_be_visible()
    look(page, "left, and not told yet")

    assert look.trouble == {}


def test_the_pages_before_the_floor_are_readable_too(floor, open_page, look):
    page = open_page(390, bypass_csp=True)
    for name, address in (("open", floor_address(floor.lead)), ("a bad link", "/floor/o/made-up/")):
        page.goto(address)
        look(page, name)
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(page.locator("#page")).to_contain_text("from the link in their email")
    look(page, "a stranger")
    page.goto("/floor/999999/")
    expect(page.locator("#page")).to_contain_text("can no longer open this clinic’s floor page")
    look(page, "no such clinic")

    assert look.trouble == {}


def test_the_page_of_a_phone_has_the_clock_of_the_site(floor_phone, floor):
    page = load(floor_phone(), floor)
    shown = datetime.fromtimestamp(page.evaluate("Date.now()") / 1000, UTC)
    assert abs(shown - clock.now()) < timedelta(seconds=30)
