"""Taking back and leaving without signal, answers that never came, and what another phone shows of a walk-in."""

import pytest
from playwright.sync_api import expect

from families.models import Child
from floor.models import AdultHours, FloorAction, FloorDay, FloorPhone, SignIn
from floor.services.phones import floor_address, open_phone, phone_of
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
    soon,
    wake,
)
from tests.browser.test_floor_door import with_sheet
from tests.browser.test_floor_phones import WEEK_LATER, empty

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
LEFT = "This clinic’s data has been erased from this phone."
UNTOLD = "There’s no signal to tell our office yet."


@pytest.fixture
def other(floor, now):
    """A second phone of the same lead: its row and its secret."""
    return open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)


def leave(page):
    at_part(page, "Close the day")
    page.get_by_role("button", name="Erase this phone").click()
    page.locator("#leave-sure").click()


def asked(context):
    """Every address of the floor that the phone asks for from now on."""
    addresses = []
    context.on("request", lambda request: addresses.append(request.url.split("/floor/")[-1]))
    return addresses


def test_a_walk_in_of_one_phone_shows_allergy_and_care_note_on_the_other(floor_phone, floor, other):
    one, two = load(floor_phone(), floor), load(floor_phone(other[1]), floor)
    one.get_by_role("button", name="Add a walk-in").click()
    one.get_by_label("Child’s name").fill("Juno Reed")
    one.get_by_label("Date of birth").fill(f"{floor.clinic.day.year - 7}-01-01")
    one.get_by_label("Guardian’s name").fill("Orla Reed")
    one.get_by_label("Guardian’s phone").fill("555-0144")
    one.get_by_label("Yes", exact=True).check()
    one.get_by_label("If yes, which ones").fill("bee stings")
    one.get_by_label("Anything else that helps us care").fill("Inhaler in the blue bag")
    one.get_by_label("No photos").check()
    one.get_by_label("Guardian signs by typing their name").fill("Orla Reed")
    one.get_by_role("button", name="Register and sign in").click()
    expect(line(one, "Juno Reed")).to_contain_text("care note")
    all_sent(one)
    # What the other phone's clock does every twenty seconds; the first time the day does not come through.
    cut = {"left": 1}

    def once(route):
        cut["left"] -= 1
        route.abort() if cut["left"] >= 0 else route.continue_()

    two.route("**/data/", once)
    wake(two)
    expect(line(two, "Juno Reed")).to_contain_text("allergies still loading")
    expect(two.locator("#kept")).to_contain_text("No signal")
    wake(two)

    for mark in ("allergy: bee stings", "care note", "no photos", "walk-in"):
        expect(line(two, "Juno Reed")).to_contain_text(mark)
    expect(line(two, "Juno Reed")).not_to_contain_text("still loading")
    line(two, "Juno Reed").locator("summary").click()
    expect(two.locator("dd", has_text="Inhaler in the blue bag")).to_be_visible()
    assert Child.objects.get(name="Juno Reed").care_notes == "Inhaler in the blue bag"


def test_taking_back_a_slot_minutes_or_the_close_shows_at_once_without_signal(floor_phone, floor, now):
    floor.clinic.starts_at = now.replace(second=0, microsecond=0)
    floor.clinic.save()
    context = with_sheet(floor_phone())
    page = load(context, floor)
    undo = page.locator("#undo")

    at_part(page, "Run sheet")
    page.get_by_role("button", name="Start this slot now").click()
    all_sent(page)
    lose_signal(context)
    undo.click()
    expect(page.locator("#slot-0")).to_contain_text("now")
    expect(page.locator("#now")).to_contain_text("Next: Shot-arc geometry")
    find_signal(context)
    all_sent(page)

    at_part(page, "Door")
    sign_in(page, "Oswin Tarrant")
    at_part(page, "Close the day")
    for minutes in ("120", "125"):
        page.get_by_label("Oswin Tarrant").fill(minutes)
        page.get_by_role("button", name="Save these minutes").click()
        expect(page.get_by_text(f"{minutes} minutes saved", exact=True)).to_be_visible()
    all_sent(page)
    lose_signal(context)
    undo.click()
    expect(page.get_by_text("120 minutes saved", exact=True)).to_be_visible()
    find_signal(context)
    all_sent(page)
    page.get_by_role("button", name="Close the day").click()
    expect(page.get_by_text("You can still add entries.")).to_be_visible()
    all_sent(page)
    lose_signal(context)
    undo.click()
    expect(page.get_by_role("button", name="Close the day")).to_be_enabled()
    find_signal(context)
    all_sent(page)

    assert AdultHours.objects.get().minutes == 120
    assert FloorDay.objects.get().closed_at is None and FloorDay.objects.get().slots == {}


def test_leaving_without_signal_wipes_at_once_opens_nothing_and_is_told_when_there_is(floor_phone, floor, now):
    context = floor_phone()
    page = load(context, floor)
    lose_signal(context)
    sign_in(page, "Wren Ash")
    leave(page)
    expect(page.locator("#page")).to_contain_text(LEFT)
    expect(page.locator("#page")).to_contain_text("1 entry had not been sent")
    expect(page.locator("#page")).to_contain_text(UNTOLD)
    assert empty(page) == [0, 0, 0, 0]
    # Neither what is kept nor another tab opens the day again.
    tab = context.new_page()
    for again in (page, tab):
        again.goto(f"/floor/{floor.clinic.pk}/")
        expect(again.locator("#page")).to_contain_text(UNTOLD)
        # A fresh key that locks nothing.
        assert empty(again)[:3] == [0, 0, 0]
    assert phone_of(floor.clinic.pk, floor.secret, now) is not None
    tab.close()
    seen = asked(context)
    find_signal(context)
    expect(page.locator("#page")).not_to_contain_text(UNTOLD)

    assert ends(page, floor.phone)
    assert not [address for address in seen if "/data/" in address or "/sync/" in address]
    page.reload()
    expect(page.locator("#page")).to_contain_text("can no longer open this clinic’s floor page")
    assert empty(page) == [0, 0, 0, 0]


def test_a_phone_that_left_and_comes_back_to_signal_later_tells_before_it_asks_for_anything(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    lose_signal(context)
    leave(page)
    expect(page.locator("#page")).to_contain_text(UNTOLD)
    page.close()
    find_signal(context)
    seen = asked(context)
    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(page.locator("#page")).to_contain_text(LEFT)
    expect(page.get_by_text("Wren Ash")).to_have_count(0)

    assert ends(page, floor.phone)
    assert not [address for address in seen if address.endswith(("data/", "sync/"))]
    assert soon(page, lambda: not [one for one in context.cookies() if one["name"].startswith("floor")])


def test_leaving_with_signal_wipes_before_the_server_has_answered(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    waiting = []
    context.route("**/leave/", lambda route: waiting.append(route))
    leave(page)
    expect(page.locator("#page")).to_contain_text(LEFT)
    assert empty(page) == [0, 0, 0, 0]
    assert soon(page, lambda: bool(waiting))
    waiting[0].continue_()
    expect(page.locator("#untold")).to_have_count(0)
    assert ends(page, floor.phone)


def test_a_closed_page_leaves_by_its_worker_when_signal_is_back(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    tools = context.new_cdp_session(page)
    known = []
    tools.on("ServiceWorker.workerRegistrationUpdated", lambda event: known.extend(event["registrations"]))
    tools.send("ServiceWorker.enable")
    assert soon(page, lambda: bool(known))
    tools.send(
        "ServiceWorker.dispatchSyncEvent",
        {
            "origin": page.evaluate("location.origin"),
            "registrationId": known[0]["registrationId"],
            "tag": f"leave-{floor.clinic.pk}-{floor.phone.pk}",
            "lastChance": False,
        },
    )
    assert ends(page, floor.phone)


def test_a_new_link_on_a_phone_that_left_without_signal_ends_the_old_phone_and_opens_the_day(
    floor_phone, floor, settings, live_server
):
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    context = floor_phone()
    page = load(context, floor)
    lose_signal(context)
    leave(page)
    expect(page.locator("#page")).to_contain_text(UNTOLD)
    page.close()
    find_signal(context)
    page = context.new_page()
    page.goto(floor_address(floor.lead))
    page.get_by_role("button", name="Open the floor page on this phone").click()
    expect(line(page, "Wren Ash")).to_be_visible()
    fresh(page)

    assert [phone.ended_at is None for phone in FloorPhone.objects.order_by("pk")] == [False, True]
    sign_in(page, "Wren Ash")
    all_sent(page)
    assert SignIn.objects.get().child == floor.children[0]


def test_an_answer_that_never_came_and_a_new_link_after_it_neither_refuse_nor_double(
    floor_phone, floor, settings, live_server
):
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    context = floor_phone()
    page = load(context, floor)

    def lost(route):
        route.fetch()
        route.abort()

    context.route("**/sync/", lost)
    sign_in(page, "Wren Ash")
    expect(page.locator("#kept")).to_contain_text("1 entry is saved on this phone")
    assert soon(page, FloorAction.objects.exists)
    assert FloorAction.objects.count() == 1
    sign_in(page, "Fern Moss")
    assert soon(page, lambda: FloorAction.objects.count() == 2)
    expect(page.locator("#kept")).to_contain_text("2 entries are saved on this phone")
    page.close()
    context.unroute("**/sync/")
    page = context.new_page()
    page.goto(floor_address(floor.lead))
    page.get_by_role("button", name="Open the floor page on this phone").click()
    fresh(page)

    expect(page.locator("#kept")).to_have_text("Everything has been sent.")
    expect(page.locator("#tally")).to_contain_text("2 of 3 children here")
    assert FloorAction.objects.count() == SignIn.objects.count() == 2
    assert in_store(page, "return await settled(rows('refused').count())") == 0


def test_a_page_of_last_week_says_so_with_signal_and_without_and_keeps_nothing(floor_phone, floor, now):
    context = floor_phone()
    load(context, floor).close()
    lose_signal(context)
    page = context.new_page()
    page.add_init_script(WEEK_LATER)
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(page.locator("#page")).to_contain_text("This clinic is over")
    assert empty(page) == [0, 0, 0, 0]
    page.close()
    find_signal(context)
    floor.clinic.starts_at, floor.clinic.ends_at = (
        moment.replace(year=moment.year - 1) for moment in (floor.clinic.starts_at, floor.clinic.ends_at)
    )
    floor.clinic.save()
    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/")
    expect(page.locator("#page")).to_contain_text("This clinic is over. Its floor page is closed")
    assert empty(page) == [0, 0, 0, 0]


def test_who_picks_up_is_asked_in_sight_and_not_behind_the_foot(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    page.set_viewport_size({"width": 390, "height": 640})
    # As low on the screen as a line can be.
    page.evaluate(
        """() => {
          const row = [...document.querySelectorAll("ul.door > li")].find((one) => one.textContent.includes("Wren"));
          const foot = document.getElementById("foot").getBoundingClientRect();
          scrollBy({ top: row.getBoundingClientRect().bottom - foot.top, behavior: "instant" }); }"""
    )
    line(page, "Wren Ash").get_by_role("button", name="sign out").click()
    stays = page.get_by_role("button", name="Not leaving yet").bounding_box()
    foot, question = page.locator("#foot").bounding_box(), page.get_by_text("Who is picking up Wren?").bounding_box()

    assert stays and foot and question
    assert round(foot["y"] + foot["height"]) == 640, "the foot stands at the thumb, whole"
    assert stays["y"] + stays["height"] <= foot["y"] and question["y"] > 0
