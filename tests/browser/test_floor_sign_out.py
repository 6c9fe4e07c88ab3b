"""The lead signs out of their account on the device that holds the floor page: nothing of the day stays on it."""

from playwright.sync_api import expect

from floor.models import FloorAction
from tests.browser.conftest import enter
from tests.browser.floor_page import ends, load, sign_in

NAMES = "indexedDB.databases().then((all) => all.map((one) => one.name).filter((name) => name.startsWith('floor')))"
WORKERS = "navigator.serviceWorker.getRegistrations().then((all) => all.length)"


def at_home(context, account):
    home = enter(context.new_page(), account)
    expect(home.get_by_role("button", name="Log out")).to_be_visible()
    # On a busy machine the button is there before the script that leaves the floor page.
    home.locator("[data-sign-out=ready]").wait_for(state="attached")
    return home


def test_signing_out_names_what_is_not_sent_then_leaves_and_keeps_nothing(floor_phone, floor, floor_lead):
    context = floor_phone()
    page = load(context, floor)
    context.route("**/sync/", lambda route: route.abort())
    sign_in(page, "Wren Ash")
    home = at_home(context, floor_lead)
    home.get_by_role("button", name="Log out").click()
    expect(home.locator("#said")).to_contain_text("1 floor page entry on this device hasn’t been sent")
    expect(page.get_by_text("Wren Ash").first).to_be_visible()

    home.get_by_role("button", name="Log out").click()
    expect(home.get_by_role("button", name="Log in")).to_be_visible()
    expect(page.locator("#page")).to_contain_text("Someone logged out on this device")
    expect(page.get_by_text("Wren Ash")).to_have_count(0)
    assert ends(home, floor.phone)
    assert home.evaluate(NAMES) == [] and home.evaluate(WORKERS) == 0
    assert not [one for one in context.cookies() if one["name"].startswith("floor")]

    context.unroute("**/sync/")
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(page.locator("#page")).to_contain_text("can no longer open this clinic’s floor page")
    assert not FloorAction.objects.exists()


def test_signing_out_with_everything_sent_asks_nothing(floor_phone, floor, floor_lead):
    context = floor_phone()
    heard = []
    context.on("console", lambda message: heard.append(message.text))
    context.on("response", lambda answer: heard.append((answer.status, answer.url)) if "leave" in answer.url else None)
    context.on("requestfailed", lambda one: heard.append((one.failure, one.url)))
    page = load(context, floor)
    sign_in(page, "Wren Ash")
    home = at_home(context, floor_lead)
    expect(page.locator("#kept")).to_have_text("Everything has been sent.")
    home.get_by_role("button", name="Log out").click()
    expect(home.get_by_role("button", name="Log in")).to_be_visible()

    assert ends(home, floor.phone), heard
    assert FloorAction.objects.count() == 1 and home.evaluate(NAMES) == []


def test_signing_out_on_a_device_without_a_floor_page_is_one_press(sign_in, coordinator, console):
    page = sign_in(coordinator)
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("button", name="Log in")).to_be_visible()
    assert console == []
