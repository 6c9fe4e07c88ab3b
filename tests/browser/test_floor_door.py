"""The door and the rest of the floor page, as the lead's thumb and a screen reader meet it."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from families.models import Child, PickupPerson
from floor.models import SignIn
from floor.services.phones import floor_address
from tests.browser.floor_page import all_sent, at_part, fresh, line, load, lose_signal, sign_in

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
STATION = {"name": "Shot-arc geometry", "where": "station 1 of 1", "teaching": ["The string marks the arc"]}
SHEET: dict[str, Any] = {
    "slots": [
        {"start": 0, "minutes": 10, "kind": "opener", "adults": {"A": ["Oswin Tarrant"]}, "stations": {
            "A": {"name": "Partner shooting", "where": "whole floor", "teaching": [], "safety": ["One ball a pair"]}}},
        {"start": 10, "minutes": 20, "kind": "stations", "adults": {},
         "stations": {"A": {**STATION, "safety": ["Chalk stays off the floor"]}}},
    ],
    "groups": [{"code": "A", "children": []}],
}  # fmt: skip
SMALL = """() => [...document.querySelectorAll("button, a, summary, input, select, textarea")]
  .filter((one) => one.checkVisibility() && !one.matches(".form-check-input"))
  .map((one) => [one.id || one.textContent, one.getBoundingClientRect()])
  .filter(([, box]) => box.width < 44 || box.height < 44).map(([name]) => name)"""


def with_sheet(context):
    """A run sheet in the day, in the shape in which the planner gives it."""

    def answer(route):
        response = route.fetch()
        route.fulfill(response=response, json=response.json() | {"sheet": SHEET})

    context.route("**/data/", answer)
    return context


@pytest.fixture
def kept_away(floor, coordinator, now):
    """Somebody who must not pick up Bryn Vale."""
    return PickupPerson.objects.create(
        child=floor.children[2], name="Rafe Vale", must_not=True, seen="A letter", recorded_by=coordinator,
        recorded_at=now,
    )  # fmt: skip


def test_who_must_not_pick_up_stands_in_words_and_can_not_be_typed_past(floor_phone, floor, kept_away):
    page = load(floor_phone(), floor)
    expect(line(page, "Bryn Vale")).to_contain_text("has a “must not pick up” entry")
    sign_in(page, "Bryn Vale")
    line(page, "Bryn Vale").get_by_role("button", name="sign out").click()
    expect(line(page, "Bryn Vale")).to_contain_text("MUST NOT PICK UP: Rafe Vale")
    expect(page.get_by_role("button", name="Rafe Vale")).to_have_count(0)
    page.get_by_label("Someone else (name)").fill("  rafe   VALE ")
    for _ in range(2):
        page.get_by_role("button", name="Someone else is picking up").click()
        expect(line(page, "Bryn Vale")).to_contain_text("Rafe Vale must not pick up Bryn. Keep the child inside")
    all_sent(page)
    assert SignIn.objects.get().out_at is None


def test_somebody_who_is_not_on_the_list_needs_a_name_and_a_second_tap(floor_phone, floor):
    page = load(floor_phone(), floor)
    sign_in(page, "Bryn Vale")
    all_sent(page)
    line(page, "Bryn Vale").get_by_role("button", name="sign out").click()
    page.get_by_role("button", name="Someone else is picking up").click()
    expect(page.get_by_text("Enter the name of the person picking up.")).to_be_visible()
    page.get_by_label("Someone else (name)").fill("Petra Vale")
    page.get_by_role("button", name="Someone else is picking up").click()
    assert SignIn.objects.filter(out_at=None).count() == 1
    page.get_by_role("button", name="Yes, release to Petra Vale").click()
    expect(line(page, "Bryn Vale").get_by_role("button", name="sign in again")).to_be_visible()
    all_sent(page)
    assert SignIn.objects.get().pickup == "Petra Vale"


def test_marks_are_words_and_the_care_note_is_a_tap_away(floor_phone, floor):
    child = floor.children[0]
    child.care_notes = "Inhaler in the blue bag"
    child.save()
    page = load(floor_phone(), floor)
    expect(line(page, "Wren Ash")).to_contain_text("allergy: peanuts")
    note = page.locator("dd", has_text="Inhaler in the blue bag")
    expect(note).to_be_hidden()
    line(page, "Wren Ash").locator("summary").click()
    expect(note).to_be_visible()
    # Somebody else's tap and the answer of the server leave it open.
    sign_in(page, "Fern Moss")
    all_sent(page)
    expect(note).to_be_visible()


def test_search_and_who_is_not_in_yet(floor_phone, floor):
    page = load(floor_phone(), floor)
    page.get_by_label("Search by name").fill("moss")
    expect(page.locator("ul.door > li")).to_have_count(1)
    page.get_by_label("Search by name").fill("")
    sign_in(page, "Wren Ash")
    page.get_by_role("button", name="Not here yet").click()
    expect(line(page, "Wren Ash")).to_have_count(0)
    expect(line(page, "Fern Moss")).to_be_visible()


def test_the_emergency_card_is_one_tap_away_on_every_part(floor_phone, floor):
    page = load(floor_phone(), floor)
    for part in ("Door", "Run sheet", "Scores", "Incident", "Close the day"):
        at_part(page, part)
        page.get_by_role("button", name="Emergency").click()
        card = page.get_by_role("dialog")
        for words in ("Beside the front desk", "Kitchen, red cabinet", "Larkmoor General", "Car park, by the oak"):
            expect(card).to_contain_text(words)
        expect(card.get_by_role("link", name="Call 911")).to_have_attribute("href", "tel:911")
        page.keyboard.press("Escape")
        expect(card).to_be_hidden()


def test_the_run_sheet_follows_the_clock_and_a_late_start_moves_the_rest(floor_phone, floor, now):
    floor.clinic.starts_at = now.replace(second=0, microsecond=0)
    floor.clinic.save()
    page = load(with_sheet(floor_phone()), floor)
    at_part(page, "Run sheet")
    expect(page.locator("#now")).to_contain_text("Now: Partner shooting")
    expect(page.locator("#now")).to_contain_text("Next: Shot-arc geometry")
    page.locator("summary", has_text="Partner shooting").click()
    expect(page.get_by_text("One ball a pair")).to_be_visible()
    page.get_by_role("button", name="Start this slot now").click()
    expect(page.locator("#slot-1")).to_contain_text("now")
    expect(page.locator("#now")).to_contain_text("Then: sign everyone out by")
    all_sent(page)
    page.reload()
    fresh(page)
    expect(page.locator("#slot-1")).to_contain_text("now")


def test_next_in_two_minutes_is_said_aloud(floor_phone, floor, now):
    floor.clinic.starts_at = now.replace(microsecond=0)
    floor.clinic.save()
    page = load(with_sheet(floor_phone()), floor)
    expect(page.locator("#told")).not_to_contain_text("Next in 2 minutes")
    # Without signal: an answer of the server would set the page's clock right again.
    page.wait_for_load_state("networkidle")
    lose_signal(page.context)
    page.evaluate("(() => { const now = Date.now; Date.now = () => now() + 8.2 * 60000; })()")
    expect(page.locator("#told")).to_have_text("Next in 2 minutes: Shot-arc geometry.")


def test_keys_alone_sign_a_child_in_and_out(floor_phone, floor):
    page = load(floor_phone(), floor)
    line(page, "Wren Ash").get_by_role("button", name="Sign in").focus()
    page.keyboard.press("Enter")
    expect(line(page, "Wren Ash").get_by_role("button", name="sign out")).to_be_focused()
    page.keyboard.press("Enter")
    for _ in range(9):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent").startswith("Uncle Bram"):
            break
    page.keyboard.press("Enter")
    expect(line(page, "Wren Ash").get_by_role("button", name="sign in again")).to_be_visible()
    all_sent(page)
    assert SignIn.objects.get().pickup == "Uncle Bram"


def test_axe_finds_nothing_no_target_is_small_and_nothing_runs_off(floor_phone, floor, kept_away):
    page = load(with_sheet(floor_phone(bypass_csp=True)), floor)
    trouble = {}

    def look(name):
        found = Axe().run(page).response["violations"]
        wide = page.evaluate("document.documentElement.scrollWidth") > 390
        small = page.evaluate(SMALL)
        if found or wide or small:
            trouble[name] = ([(one["id"], one["nodes"][0]["html"][:200]) for one in found], wide, small)

    look("before anybody came")
    sign_in(page, "Wren Ash", "Bryn Vale", "Oswin Tarrant")
    line(page, "Wren Ash").locator("summary").click()
    line(page, "Bryn Vale").get_by_role("button", name="sign out").click()
    page.get_by_role("button", name="Add a walk-in").click()
    look("door")
    at_part(page, "Run sheet")
    page.locator(".station summary").first.click()
    look("run sheet")
    at_part(page, "Scores")
    page.locator("#score-who").select_option(label="Wren Ash")
    for way in ("Step-back ladder", "Par-zero", "Makes and misses"):
        page.get_by_role("button", name=way).click()
        look(way)
    at_part(page, "Incident")
    page.get_by_role("button", name="Hit to the head").click()
    look("something happened")
    at_part(page, "Close the day")
    page.get_by_role("button", name="Erase this phone").click()
    look("closing")
    page.get_by_role("button", name="Emergency").click()
    look("emergency")
    assert trouble == {}


def test_the_strict_policy_lets_the_page_work_and_a_stranger_gets_no_names(floor_phone, floor, open_page, console):
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    all_sent(page)
    assert console == []
    stranger = open_page(390)
    stranger.goto(f"/floor/{floor.clinic.pk}/")
    expect(stranger.locator("#page")).to_contain_text("This phone can no longer open this clinic’s floor page")
    assert "Wren" not in stranger.content()


def test_the_leads_link_opens_the_page_on_this_phone(floor, open_page):
    page = open_page(390)
    page.goto(floor_address(floor.lead))
    page.get_by_role("button", name="Open the floor page on this phone").click()
    expect(line(page, "Wren Ash")).to_contain_text("allergy: peanuts")
    fresh(page)
    sign_in(page, "Wren Ash")
    all_sent(page)
    assert SignIn.objects.get().child == floor.children[0]


def test_who_never_answered_about_allergies_is_marked_and_never_looks_like_none(floor_phone, floor):
    Child.objects.filter(name="Fern Moss").update(allergies_answer="")
    page = load(floor_phone(), floor)

    expect(line(page, "Fern Moss")).to_contain_text("allergies not answered: ask")
    expect(line(page, "Bryn Vale")).not_to_contain_text("allergies not answered")
    for name, words in (("Fern Moss", "Not answered. Ask the guardian"), ("Bryn Vale", "none known")):
        line(page, name).locator("summary").click()
        expect(line(page, name).locator("dl")).to_contain_text(words)
