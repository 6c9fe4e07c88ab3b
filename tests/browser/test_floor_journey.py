"""The lead's phone at the door of a gym without signal: all that was tapped arrives once."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from clinics.models import FloorAction, FloorPhone, SignIn
from scheduling.services.floor.phones import leave_phone, open_phone

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def phone(browser, live_server, floor):
    contexts = []

    def inner(secret=floor.secret):
        context = browser.new_context(viewport={"width": 390, "height": 844}, base_url=live_server.url)
        context.set_default_timeout(8000)
        address = f"{live_server.url}/floor/"
        context.add_cookies([{"name": f"floor{floor.clinic.pk}", "value": secret, "url": address}])
        contexts.append(context)
        return context

    yield inner
    for context in contexts:
        context.close()


def load(context, floor):
    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/")
    page.locator("body[data-offline=ready]").wait_for()
    expect(page.get_by_role("heading", name="Children")).to_be_visible()
    return page


def line(page, name):
    return page.locator("ul.door > li", has_text=name)


def test_without_signal_the_door_goes_on_and_everything_arrives_exactly_once(phone, floor):
    context = phone()
    page = load(context, floor)
    expect(line(page, "Wren Ash")).to_contain_text("allergy: peanuts")
    context.set_offline(True)
    alarm = page.get_by_role("alert")
    for name in ("Wren Ash", "Fern Moss", "Bryn Vale"):
        line(page, name).get_by_role("button", name="Sign in").click()
    expect(alarm).to_contain_text("2 more adults needed now")
    for name in ("Oswin Tarrant", floor.coach.volunteer.name):
        line(page, name).get_by_role("button", name="Sign in").click()
    expect(alarm).to_be_empty()
    line(page, "Wren Ash").get_by_role("button", name="sign out").click()
    line(page, "Wren Ash").get_by_role("button", name="Uncle Bram").click()
    expect(page.locator("#kept")).to_contain_text("6 entries are kept on this phone and will be sent by themselves")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert not FloorAction.objects.exists()
    page.close()

    # Chromium may let a page that was opened after the cut reach the server, so only what it shows is asked of it.
    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(line(page, "Wren Ash").get_by_role("button", name="sign in again")).to_be_visible()
    context.set_offline(False)
    expect(page.locator("#kept")).to_contain_text("Everything is sent", timeout=25_000)

    assert FloorAction.objects.count() == 6 and SignIn.objects.count() == 5
    assert sorted(FloorAction.objects.values_list("seq", flat=True)) == [1, 2, 3, 4, 5, 6]
    assert SignIn.objects.get(child=floor.children[0]).collector == "Uncle Bram"
    assert Axe().run(page).violations_count == 0, Axe().run(page).generate_report()


def test_what_is_kept_on_the_phone_can_not_be_read_without_its_key(phone, floor):
    page = load(phone(), floor)
    expect(page.locator("#kept")).to_contain_text("Everything is sent")
    kept = page.evaluate(
        """async () => {
          const value = await new Promise((yes) => { const r = db.transaction('day').objectStore('day').get('day');
            r.onsuccess = () => yes(r.result); });
          return [new TextDecoder().decode(value.data).includes('Wren'), key.extractable,
            (await Promise.all((await caches.keys()).map(async (n) => (await (await caches.open(n)).keys())
              .map((r) => r.url)))).flat().some((u) => u.includes('/data/') || u.includes('/sync/'))];
        }"""
    )
    assert kept == [False, False, False]


def test_two_phones_add_up_and_one_that_may_no_longer_write_is_wiped(phone, floor, now):
    other, secret = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    one, two = load(phone(), floor), load(phone(secret), floor)
    line(one, "Wren Ash").get_by_role("button", name="Sign in").click()
    line(two, "Fern Moss").get_by_role("button", name="Sign in").click()
    for page in (one, two):
        expect(page.locator("#kept")).to_contain_text("Everything is sent")
    assert SignIn.objects.count() == 2 and FloorPhone.objects.filter(actions__seq=1).count() == 2

    leave_phone(phone=other, now=now)
    two.reload()
    expect(two.locator("#page")).to_contain_text("may no longer open the floor page")
    expect(two.get_by_text("Wren Ash")).to_have_count(0)
    assert two.evaluate("done(store('day').count())") == two.evaluate("done(store('key').count())") == 0


def test_a_collector_who_is_not_on_the_list_needs_a_name_and_a_second_tap(phone, floor):
    page = load(phone(), floor)
    line(page, "Bryn Vale").get_by_role("button", name="Sign in").click()
    line(page, "Bryn Vale").get_by_role("button", name="sign out").click()
    expect(page.locator("#kept")).to_contain_text("Everything is sent")
    page.get_by_label("Somebody else, by name").fill("Petra Vale")
    page.get_by_role("button", name="Somebody else collects").click()
    page.get_by_role("button", name="Yes, Petra Vale collects").click()
    expect(line(page, "Bryn Vale").get_by_role("button", name="sign in again")).to_be_visible()
    expect(page.locator("#kept")).to_contain_text("Everything is sent")

    assert SignIn.objects.get().collector == "Petra Vale"


def test_the_emergency_card_is_one_tap_away_and_stays_open_while_the_page_is_drawn_anew(phone, floor):
    page = load(phone(), floor)
    page.get_by_text("Emergency: what and where").click()
    line(page, "Fern Moss").get_by_role("button", name="Sign in").click()
    expect(line(page, "Fern Moss").get_by_role("button", name="sign out")).to_be_visible()
    expect(page.get_by_text("Beside the front desk")).to_be_visible()


def test_a_page_of_last_week_wipes_itself_and_says_so(phone, floor):
    page = load(phone(), floor)
    expect(page.locator("#kept")).to_contain_text("Everything is sent")
    page.evaluate(
        """async () => { const old = {...day, wipe_at: new Date(Date.now() - 7 * 864e5).toISOString()};
          await done(store('day', 'readwrite').put(await lock(old), 'day')); }"""
    )
    page.reload()
    expect(page.locator("#page")).to_contain_text("This clinic is over. What this phone kept of it is wiped.")
    assert page.evaluate("done(store('day').count())") == 0
