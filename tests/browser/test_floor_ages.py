"""Who comes in although the clinic may have no room for them: asked first, and never past the fire limit."""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from clinics.models import AgeBand, Space
from families.models import Child, Spot
from floor.models import FloorAction
from tests.browser.floor_page import all_sent, find_signal, line, load, lose_signal, sign_in
from tests.browser.test_floor_door import SMALL
from tests.browser.test_floor_taps import at_one_moment, middle

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


def facts_of(kind):
    """What the log keeps of the one entry of a kind."""
    return json.loads(FloorAction.objects.get(kind=kind).facts)


def fill_in(page, floor, age):
    page.get_by_role("button", name="Add a walk-in").click()
    for label, words in (
        ("Child’s name", "Juno Reed"), ("Date of birth", f"{floor.clinic.day.year - age}-01-01"),
        ("Guardian’s name", "Orla Reed"), ("Guardian’s phone", "555-0144"),
        ("Guardian signs by typing their name", "Orla Reed"),
    ):  # fmt: skip
        page.get_by_label(label).fill(words)
    page.get_by_label("No known allergies").check()
    page.get_by_label("No photos").check()


def test_a_child_outside_the_clinics_ages_comes_in_only_when_it_is_meant(floor_phone, floor):
    Spot.objects.filter(child=floor.children[0]).update(age=13)
    page = load(floor_phone(), floor)
    wren = line(page, "Wren Ash")
    wren.get_by_role("button", name="Sign in").click()
    expect(wren).to_contain_text("Wren is 13. This clinic is for ages 7 to 10.")
    wren.get_by_role("button", name="Not coming in").click()
    expect(wren).not_to_contain_text("This clinic is for ages")
    all_sent(page)
    assert not FloorAction.objects.exists()

    wren.get_by_role("button", name="Sign in").click()
    wren.get_by_role("button", name="Sign in anyway").click()
    expect(wren.get_by_role("button", name="sign out")).to_be_visible()
    all_sent(page)
    assert facts_of("in") == {"who": f"c{floor.children[0].pk}", "despite": "ages"}
    # Of the right age, nothing is asked.
    sign_in(page, "Fern Moss")


def test_a_child_whose_group_has_no_adult_or_who_is_in_no_group_is_asked_about(floor_phone, floor):
    wren, fern, _ = (f"c{one.pk}" for one in floor.children)
    station = {"name": "Partner shooting", "where": "", "teaching": [], "safety": []}
    sheet = {
        "pk": 1,
        "slots": [{"start": 0, "minutes": 30, "kind": "opener", "adults": {"A": ["Oswin Tarrant"], "B": []},
                   "stations": {"A": station, "B": station}}],
        "groups": [{"code": "A", "children": [wren]}, {"code": "B", "children": [fern]}],
    }  # fmt: skip
    groups = {wren: "A", fern: "B"}

    def answer(route):
        response = route.fetch()
        day = response.json()
        children = [one | {"group": groups.get(one["who"], "")} for one in day["children"]]
        route.fulfill(response=response, json=day | {"sheet": sheet, "children": children})

    context = floor_phone()
    context.route("**/data/", answer)
    page = load(context, floor)
    sign_in(page, "Wren Ash")
    line(page, "Fern Moss").get_by_role("button", name="Sign in").click()
    expect(line(page, "Fern Moss")).to_contain_text("Group B has no adult on the run sheet for “Partner shooting”.")
    line(page, "Bryn Vale").get_by_role("button", name="Sign in").click()
    expect(line(page, "Bryn Vale")).to_contain_text("Bryn isn’t in a group on the run sheet.")
    line(page, "Bryn Vale").get_by_role("button", name="Sign in anyway").click()
    expect(line(page, "Bryn Vale").get_by_role("button", name="sign out")).to_be_visible()


def test_who_waits_for_a_spot_is_asked_about_while_all_are_taken(floor_phone, floor):
    Spot.objects.filter(child=floor.children[2]).update(state="waiting")
    AgeBand.objects.filter(clinic=floor.clinic).update(children=2)
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    bryn = line(page, "Bryn Vale")
    bryn.get_by_role("button", name="Sign in").click()
    expect(bryn).to_contain_text("Bryn is on the waiting list. All 2 spots for ages 7 to 10 are taken.")
    expect(bryn).to_contain_text("1 child with one of them is here now.")
    bryn.get_by_role("button", name="Sign in anyway").click()
    expect(bryn.get_by_role("button", name="sign out")).to_be_visible()
    all_sent(page)
    rows = [json.loads(row.facts) for row in FloorAction.objects.order_by("seq")]
    assert [row.get("despite") for row in rows] == [None, "full"]


def test_a_walk_in_outside_the_ages_without_a_spot_is_registered_by_a_second_tap(floor_phone, floor):
    AgeBand.objects.filter(clinic=floor.clinic).update(children=3)
    context = floor_phone(touch=True)
    page = load(context, floor)
    lose_signal(context)
    fill_in(page, floor, 12)
    send = page.get_by_role("button", name="Register and sign in")
    send.scroll_into_view_if_needed()
    # The second tap of a double tap, wherever the button is by then, does not say that it is meant.
    place = middle(send)
    with at_one_moment(page):
        for _ in range(2):
            page.touchscreen.tap(*place)
            page.wait_for_timeout(150)
    expect(page.get_by_text("Juno Reed is 12. This clinic is for ages 7 to 10.")).to_be_visible()
    expect(page.get_by_text("All 3 spots are taken.")).to_be_visible()
    expect(line(page, "Juno Reed")).to_have_count(0)
    # Of another age, it is another question.
    page.get_by_label("Date of birth").fill(f"{floor.clinic.day.year - 8}-01-01")
    page.get_by_role("button", name="Register anyway").click()
    expect(page.get_by_text("All 3 spots for ages 7 to 10 are taken.")).to_be_visible()
    expect(page.get_by_text("This clinic is for ages")).to_have_count(0)
    page.get_by_role("button", name="Register anyway").click()
    expect(line(page, "Juno Reed")).to_have_count(1)
    find_signal(context)
    all_sent(page)
    assert facts_of("walk-in")["despite"] == "full" and Child.objects.filter(name="Juno Reed").count() == 1


def test_nobody_is_registered_past_the_fire_limit_and_nothing_typed_is_lost(floor_phone, floor):
    Space.objects.filter(center=floor.clinic.center).update(capacity=2)
    page = load(floor_phone(bypass_csp=True), floor)
    sign_in(page, "Oswin Tarrant", "Wren Ash")
    fill_in(page, floor, 8)
    for _ in range(2):
        page.get_by_role("button", name="Register and sign in").click()
        expect(page.get_by_text("is 2 people. 2 people are signed in now. Keep Juno Reed outside")).to_be_visible()
        page.wait_for_timeout(500)
    expect(page.get_by_role("button", name="anyway")).to_have_count(0)
    assert Axe().run(page).response["violations"] == [] and page.evaluate(SMALL) == []

    # A child with a spot was counted on, and stands in the record when inside.
    fern = line(page, "Fern Moss")
    fern.get_by_role("button", name="Sign in").click()
    expect(fern).to_contain_text("Keep Fern outside with their guardian, and ask the center.")
    assert Axe().run(page).response["violations"] == [] and page.evaluate(SMALL) == []
    # There is room again: the question is gone, and so is what stood against the walk-in.
    page.get_by_role("button", name="Undo: Wren signed in").click()
    expect(fern).not_to_contain_text("Keep Fern outside")
    page.get_by_role("button", name="Register and sign in").click()
    expect(line(page, "Juno Reed").get_by_role("button", name="sign out")).to_be_visible()
    all_sent(page)
    assert "despite" not in facts_of("walk-in")


def test_who_waits_is_not_let_in_past_the_fire_limit(floor_phone, floor):
    Space.objects.filter(center=floor.clinic.center).update(capacity=1)
    Spot.objects.filter(child=floor.children[2]).update(state="waiting")
    page = load(floor_phone(), floor)
    sign_in(page, "Wren Ash")
    line(page, "Bryn Vale").get_by_role("button", name="Sign in").click()
    expect(line(page, "Bryn Vale")).to_contain_text("is 1 person. 1 person is signed in now. Keep Bryn outside")
    expect(page.get_by_role("button", name="Sign in anyway")).to_have_count(0)
