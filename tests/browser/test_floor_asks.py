"""What the floor page asks and says beside its list: the sign-out question, clock, signal, emergency card."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from clinics.models import CenterContact
from families.models import Waiver
from tests.browser.floor_page import at_part, box_of, line, load, lose_signal, sign_in
from tests.browser.test_floor_door import SHEET, with_sheet

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
SLOTS = [SHEET["slots"][0] | {"start": 5 * number, "minutes": 5} for number in range(16)]


def long_sheet(context):
    """A run sheet of sixteen slots, an hour and twenty minutes in all."""

    def answer(route):
        response = route.fetch()
        route.fulfill(response=response, json=response.json() | {"sheet": {"pk": 1, **SHEET, "slots": SLOTS}})

    context.route("**/data/", answer)
    return context


def begun(floor, now, minutes):
    """The clinic of two hours started so many minutes ago."""
    floor.clinic.starts_at = now.replace(microsecond=0) - timedelta(minutes=minutes)
    floor.clinic.ends_at = floor.clinic.starts_at + timedelta(hours=2)
    floor.clinic.save()


def test_the_question_takes_the_focus_is_announced_and_goes_with_escape(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    key = line(page, "Wren Ash").get_by_role("button", name="sign out")
    key.focus()
    page.keyboard.press("Enter")
    box = page.get_by_role("group", name="Who is picking up Wren?")
    expect(box).to_be_visible()
    expect(box.get_by_text("Who is picking up Wren?")).to_be_focused()
    # What is typed and where stays: the page is drawn anew at each answer of the server.
    page.get_by_label("Someone else (name)").fill("Pe")
    page.evaluate("dispatchEvent(new Event('online')) && null")
    page.wait_for_timeout(500)
    expect(page.get_by_label("Someone else (name)")).to_be_focused()
    page.keyboard.press("Escape")
    expect(box).to_have_count(0)
    expect(key).to_be_focused()


def test_a_question_before_coming_in_is_a_dialog_like_the_one_before_going(floor_phone, floor):
    Waiver.objects.filter(child__name="Wren Ash").delete()
    page = load(floor_phone(), floor)
    key = line(page, "Wren Ash").get_by_role("button", name="Sign in")
    key.focus()
    page.keyboard.press("Enter")
    box = page.get_by_role("group", name="Wren has no waiver on file.")
    expect(box.get_by_text("Wren has no waiver on file.")).to_be_focused()
    expect(page.locator("#told")).to_have_text("A parent or legal guardian signs before Wren comes in.")
    page.keyboard.press("Escape")
    expect(box).to_have_count(0)
    expect(key).to_be_focused()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Guardian signs on paper").click()
    expect(line(page, "Wren Ash").get_by_role("button", name="sign out")).to_be_focused()


def test_the_clock_goes_on_to_the_clinics_end_where_the_run_sheet_ends_earlier(floor_phone, floor, now):
    begun(floor, now, 20)
    page = load(with_sheet(floor_phone()), floor)
    end = floor.clinic.local_end.strftime("%H:%M")
    box = page.locator("#now")
    expect(box).to_contain_text("Now: Shot-arc geometry")
    expect(box).to_contain_text(f"Then: sign everyone out by {end}")
    begun(floor, now, 35)
    end = floor.clinic.local_end.strftime("%H:%M")
    page.reload()
    expect(box).to_contain_text("The run sheet is done")
    expect(box).to_contain_text(f"Sign everyone out by {end}")
    expect(page.locator("#clock")).not_to_have_text("0:00")
    # 120 minutes less the 35 that went.
    expect(page.locator("#clock")).to_have_text(re.compile(r"^1:2[345]:\d\d$"))


@pytest.mark.parametrize("how", ["tap", "reload"])
def test_the_run_sheet_opens_at_what_is_on_now(floor_phone, floor, now, how):
    begun(floor, now, 62)
    page = load(long_sheet(floor_phone()), floor)
    page.set_viewport_size({"width": 390, "height": 664})
    at_part(page, "Run sheet")
    if how == "reload":
        page.evaluate("scrollTo({ top: 0, behavior: 'instant' })")
        page.reload()
    slot = page.locator("#slot-12")
    expect(slot).to_contain_text("now")
    page.wait_for_timeout(300)
    box, foot = box_of(slot), box_of(page.locator("#foot"))
    assert box["y"] >= 0 and box["y"] + box["height"] <= foot["y"]


def test_a_lost_signal_is_said_with_the_age_of_what_is_seen(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    expect(page.locator("#kept")).to_have_text("Everything has been sent.")
    lose_signal(page.context)
    sign_in(page, "Fern Moss")
    expect(page.locator("#kept")).to_contain_text("No signal since")
    expect(page.locator("#kept")).to_contain_text("1 entry is saved on this phone")
    page.clock.fast_forward("12:10")
    expect(page.locator("#kept")).to_contain_text("What you see is 12 minutes old.")
    # The phone is taken out of a pocket: the same is said aloud. While it lies there, nothing is.
    expect(page.locator("#told")).not_to_contain_text("minutes old")
    page.evaluate("dispatchEvent(new Event('pageshow')) && null")
    expect(page.locator("#told")).to_contain_text("What you see is 12 minutes old.")
    page.close()
    again = page.context.new_page()
    again.goto(f"/floor/{floor.clinic.pk}/")
    expect(again.locator("#kept")).to_contain_text("No signal since")
    expect(again.locator("#kept")).to_contain_text("minutes old.")


def test_after_a_sleep_the_age_stands_there_before_any_answer_could_fail(floor_phone, floor):
    page = load(floor_phone(), floor)
    hold = []
    page.context.route("**/sync/", lambda route: hold.append(route))
    page.clock.fast_forward("40:00")
    expect(page.locator("#kept")).to_contain_text("What you see is 40 minutes old.")
    page.context.unroute("**/sync/")
    for route in hold:
        route.continue_()
    expect(page.locator("#kept")).to_have_text("Everything has been sent.")


@pytest.mark.parametrize(("width", "height"), [(390, 844), (640, 320)])
def test_calling_911_is_the_loudest_and_every_number_is_a_link(floor_phone, floor, settings, width, height):
    settings.ORGANISATION_PHONE = "555-0100"
    floor.clinic.center.hospital = "Larkmoor General, 555-0177"
    floor.clinic.center.save()
    CenterContact.objects.create(center=floor.clinic.center, name="Ivo Reed", phone="555-0133", opens_door=True)
    page = load(floor_phone(), floor)
    page.set_viewport_size({"width": width, "height": height})
    page.get_by_role("button", name="Emergency").click()
    card = page.get_by_role("dialog")
    call = card.get_by_role("link", name="Call 911")
    sizes = card.evaluate(
        "(one) => [...one.querySelectorAll('*')].map((part) => [parseFloat(getComputedStyle(part).fontSize), part.id])"
    )
    biggest = max(size for size, _ in sizes)
    assert [name for size, name in sizes if size == biggest] == ["call-911"]
    box, inside = box_of(call), box_of(card)
    assert box["height"] >= 72
    if width < height:
        assert box["width"] >= inside["width"] - 60
    at_once = [
        call,
        card.get_by_text(floor.clinic.center.address),
        *(card.get_by_role("link", name=number) for number in ("555-0133", "555-0100")),
    ]
    for one in at_once:
        place = box_of(one)
        assert place["y"] >= 0 and place["y"] + place["height"] <= height, "without scrolling"
    for number in ("555-0100", "555-0133", "555-0177"):
        expect(card.get_by_role("link", name=number)).to_have_attribute("href", f"tel:{number.replace('-', '')}")
