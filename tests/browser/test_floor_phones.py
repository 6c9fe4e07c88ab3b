"""Several phones and tabs, wrong clocks, and phones that may no longer keep the day."""

import pytest
from playwright.sync_api import expect

from core import clock
from floor.models import FloorAction, FloorPhone, SignIn
from floor.services.phones import leave_phone, open_phone
from tests.browser.floor_page import (
    all_sent,
    at_part,
    ends,
    find_signal,
    fresh,
    in_store,
    line,
    load,
    lose_signal,
    sign_in,
    sign_out,
)

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
WEEK_LATER = "(() => { const now = Date.now; Date.now = () => now() + 7 * 864e5; })()"


@pytest.fixture
def other(floor, now):
    """A second phone of the same lead: its row and its secret."""
    return open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)


def empty(page):
    """Nothing of the day is left, neither on the page nor in what the phone keeps."""
    expect(page.get_by_text("Wren Ash")).to_have_count(0)
    # The page is shut first, so that nobody reads on; what is kept goes right after.
    count = "return await Promise.all(['day', 'log', 'refused', 'key'].map((name) => settled(rows(name).count())))"
    for _ in range(50):
        if not any(in_store(page, count)):
            break
        page.wait_for_timeout(100)
    return in_store(page, count)


def test_two_phones_tapped_in_turn_come_to_one_floor(floor_phone, floor, other):
    first, second = floor_phone(), floor_phone(other[1])
    one, two = load(first, floor), load(second, floor)
    # Neither knows what the other taps.
    lose_signal(first)
    lose_signal(second)
    sign_in(one, "Wren Ash")
    sign_in(two, "Fern Moss")
    sign_in(one, "Bryn Vale")
    sign_in(two, "Wren Ash")
    sign_in(one, "Oswin Tarrant")
    sign_out(two, "Fern Moss", "Uncle Bram")
    for context, page in ((first, one), (second, two)):
        find_signal(context)
        all_sent(page)
    for page in (one, two):
        page.reload()
        fresh(page)
        expect(page.locator("#tally")).to_contain_text("2 of 3 children here")
        expect(page.locator("#tally")).to_contain_text("1 of 2 adults here")

    assert SignIn.objects.count() == 4 and FloorAction.objects.count() == 6
    assert FloorPhone.objects.filter(actions__seq=3).distinct().count() == 2


def test_two_pickup_people_are_both_shown_and_the_lead_says_which_is_right(floor_phone, floor, other):
    first, second = floor_phone(), floor_phone(other[1])
    one, two = load(first, floor), load(second, floor)
    sign_in(one, "Wren Ash")
    all_sent(one)
    two.reload()
    expect(line(two, "Wren Ash").get_by_role("button", name="sign out")).to_be_visible()
    lose_signal(second)
    sign_out(one, "Wren Ash", "Uncle Bram")
    all_sent(one)
    line(two, "Wren Ash").get_by_role("button", name="sign out").click()
    two.get_by_label("Someone else (name)").fill("Petra Ash")
    two.get_by_role("button", name="Someone else is picking up").click()
    two.get_by_role("button", name="Yes, release to Petra Ash").click()
    find_signal(second)
    all_sent(two)

    at_part(two, "Close the day")
    expect(two.get_by_text("Wren Ash was signed out to two different people.")).to_be_visible()
    right = two.locator(".version", has_text="with Petra Ash")
    expect(two.locator(".version", has_text="with Uncle Bram")).to_be_visible()
    right.get_by_role("button", name="Keep this one").click()
    expect(two.locator(".conflict")).to_have_count(0)
    all_sent(two)
    assert SignIn.objects.get().pickup == "Petra Ash"


def test_two_tabs_of_one_phone_agree_and_never_use_a_number_twice(floor_phone, floor):
    context = floor_phone()
    one, two = load(context, floor), load(context, floor)
    lose_signal(context)
    sign_in(one, "Wren Ash")
    expect(line(two, "Wren Ash").get_by_role("button", name="sign out")).to_be_visible()
    # Both at once, as fast as a page can.
    for page in (one, two):
        at_part(page, "Close the day")
    for page in (one, two):
        page.evaluate(
            """() => { const box = document.getElementById('f-words');
                 for (let n = 0; n < 20; n += 1) setTimeout(() => {
                   box.value = `note ${n}`;
                   box.dispatchEvent(new Event('input'));
                   box.form.requestSubmit(); }, n % 3); }"""
        )
    for page in (one, two):
        expect(page.locator("#kept")).to_contain_text("41 entries")
    find_signal(context)
    for page in (one, two):
        all_sent(page)

    assert sorted(FloorAction.objects.values_list("seq", flat=True)) == list(range(1, 42))


@pytest.mark.parametrize("days", [-1, 1])
def test_a_clock_that_is_a_day_wrong_shows_and_sends_the_right_time(floor_phone, floor, days):
    context = floor_phone(days=days)
    page = load(context, floor)
    lose_signal(context)
    sign_in(page, "Wren Ash")
    before = clock.now()
    local = {before.astimezone(floor.clinic.center.tz).strftime("In %H:%M")}
    shown = line(page, "Wren Ash").get_by_role("button").inner_text()
    page.reload()
    expect(line(page, "Wren Ash").get_by_role("button", name="sign out")).to_be_visible()
    find_signal(context)
    all_sent(page)

    row = SignIn.objects.get()
    local.add(row.in_at.astimezone(floor.clinic.center.tz).strftime("In %H:%M"))
    assert shown.splitlines()[0] in local
    assert abs((row.in_at - before).total_seconds()) < 60
    assert abs((FloorAction.objects.get().phone_at - before).total_seconds()) > 80_000


def test_a_page_left_open_since_last_week_wipes_itself_before_it_shows_anything(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    lose_signal(context)
    sign_in(page, "Wren Ash")
    page.evaluate(WEEK_LATER)
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator("#page")).to_contain_text("This clinic is over. Its data has been erased from this phone.")
    expect(page.locator("#page")).to_contain_text("1 entry had not been sent")
    assert empty(page) == [0, 0, 0, 0]


def test_a_page_opened_again_a_week_later_without_signal_shows_nobody(floor_phone, floor):
    context = floor_phone()
    load(context, floor).close()
    lose_signal(context)
    page = context.new_page()
    page.add_init_script(WEEK_LATER)
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(page.locator("#page")).to_contain_text("This clinic is over")
    assert empty(page) == [0, 0, 0, 0]


def test_the_day_of_another_clinic_that_is_over_is_swept_when_any_floor_page_opens(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    in_store(
        page,
        """const asked = indexedDB.open('floor999', 1), names = ['key', 'day', 'log', 'refused', 'seq'];
          asked.onupgradeneeded = () => names.forEach((name) => asked.result.createObjectStore(name));
          const old = await settled(asked);
          await settled(old.transaction('seq', 'readwrite').objectStore('seq').put(Date.now() - 1000, 'until'));
          old.close();""",
    )
    page.reload()
    all_sent(page)
    names = page.evaluate("indexedDB.databases().then((all) => all.map((one) => one.name).sort())")
    assert names == [f"floor{floor.clinic.pk}"]


def test_what_can_not_be_unlocked_is_dropped_said_and_loaded_anew(floor_phone, floor):
    page = load(floor_phone(), floor)
    in_store(
        page,
        """const other = await crypto.subtle.generateKey({ name: 'AES-GCM', length: 256 }, false, ['encrypt']);
          const iv = crypto.getRandomValues(new Uint8Array(12)), words = new TextEncoder().encode('{"seq":1}');
          const data = await crypto.subtle.encrypt({ name: 'AES-GCM', iv }, key, words);
          await settled(rows('log', 'readwrite').put({ iv, data }, 'x'));
          await settled(rows('key', 'readwrite').put(other, 'key'));""",
    )
    page.reload()
    expect(line(page, "Wren Ash")).to_be_visible()
    expect(page.locator("#kept")).to_contain_text("1 saved entry can’t be read")
    sign_in(page, "Wren Ash")
    expect(page.locator("#kept")).to_contain_text("Everything has been sent.")
    assert SignIn.objects.count() == 1


def test_a_phone_that_may_no_longer_write_is_wiped(floor_phone, floor, other, now):
    page = load(floor_phone(other[1]), floor)
    leave_phone(phone=other[0], now=now)
    page.reload()
    expect(page.locator("#page")).to_contain_text("can no longer open this clinic’s floor page")
    assert empty(page) == [0, 0, 0, 0]


def test_leaving_wipes_every_tab_and_ends_the_phone(floor_phone, floor):
    context = floor_phone()
    page, tab = load(context, floor), load(context, floor)
    at_part(page, "Close the day")
    page.get_by_role("button", name="Erase this phone").click()
    page.get_by_role("button", name="Yes, erase this phone").click()
    expect(page.locator("#page")).to_contain_text("This clinic’s data has been erased")
    expect(tab.locator("#page")).to_contain_text("This clinic’s data has been erased")
    assert empty(page) == [0, 0, 0, 0]
    assert ends(page, floor.phone)


def test_what_is_kept_can_not_be_read_without_a_key_that_never_leaves_the_browser(floor_phone, floor):
    page = load(floor_phone(), floor)
    kept = in_store(
        page,
        """const value = await settled(rows('day').get('day'));
          const caught = [];
          for (const name of await caches.keys())
            for (const request of await (await caches.open(name)).keys()) caught.push(new URL(request.url).pathname);
          return [new TextDecoder().decode(value.data).includes('Wren'), key.extractable, caught,
            (await unlock(value)).children.some((one) => one.name === 'Wren Ash')];""",
    )
    assert kept[:2] == [False, False] and kept[3]
    assert kept[2] and not [path for path in kept[2] if "/data/" in path or "/sync/" in path]
