"""One walk-in typed on two phones without signal: both phones say so when they meet, and the lead settles it."""

import itertools
import random
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from families.models import Child
from floor.models import FloorDay, SignIn
from floor.rules.floor_log import Action, fold
from floor.services.phones import open_phone
from tests.browser.bare_page import bare, module
from tests.browser.floor_page import all_sent, at_part, find_signal, line, load, lose_signal, sign_out, soon, wake
from tests.browser.test_floor_door import SMALL
from tests.twin_names import TWIN_NAMES

pytestmark = pytest.mark.browser
BORN = "2018-01-01"


@pytest.fixture
def other(floor, now):
    """A second phone of the same lead: its row and its secret."""
    return open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)


def walk_in(page, name, born=BORN, allergies="", phone="555-0144"):
    page.get_by_role("button", name="Add a walk-in").click()
    page.get_by_label("Child’s name").fill(name)
    page.get_by_label("Date of birth").fill(born)
    page.get_by_label("Guardian’s name").fill("Orla Reed")
    page.get_by_label("Guardian’s phone").fill(phone)
    page.get_by_label("Yes" if allergies else "No known allergies", exact=True).check()
    page.get_by_label("If yes, which ones").fill(allergies)
    page.get_by_label("Yes, photos are fine").check()
    signed = page.get_by_label("Guardian signs by typing their name")
    if signed.count():
        signed.fill("Orla Reed")
    page.get_by_role("button", name="Register and sign in").click()
    expect(line(page, name).first).to_be_visible()


def met(first, second, one, two):
    """Both phones have signal again, and each has heard what the other wrote."""
    for context, page in ((first, one), (second, two)):
        find_signal(context)
        all_sent(page)
    wake(one)


@pytest.fixture
def phones(floor_phone, floor, other):
    """Two phones in a hall without signal, where each lead types the same walk-in, one of them with the allergy."""
    return typed_twice(floor, floor_phone(), floor_phone(other[1]))


def typed_twice(floor, first, second):
    one, two = load(first, floor), load(second, floor)
    lose_signal(first)
    lose_signal(second)
    walk_in(one, "Juno Reed", allergies="bee stings")
    walk_in(two, "Juno Read")
    return first, second, one, two


@pytest.mark.django_db(transaction=True)
def test_two_phones_that_meet_say_that_two_lines_may_be_one_child(phones, floor):
    first, second, one, two = phones
    met(first, second, one, two)
    for page in (one, two):
        for name, also in (("Juno Reed", "Juno Read"), ("Juno Read", "Juno Reed")):
            expect(line(page, name)).to_contain_text(f"perhaps one child: also on the list as {also}")
            expect(line(page, name)).to_contain_text("allergy: bee stings")
        at_part(page, "Close the day")
        expect(page.locator("#closing-state")).to_contain_text("Perhaps one child")


@pytest.mark.django_db(transaction=True)
def test_said_to_be_one_they_are_one_line_and_one_child(phones, floor, console):
    first, second, one, two = phones
    met(first, second, one, two)
    expect(one.locator("#tally")).to_contain_text("2 of 5 children here")
    # All of the other phone's walk-in has come, not just the name.
    expect(one.get_by_text("allergies still loading")).to_have_count(0)
    lose_signal(first)
    line(one, "Juno Reed").get_by_role("button", name="One child or two?").click()
    box = line(one, "Juno Reed").get_by_role("group", name="One child or two?")
    expect(box).to_contain_text("Born January 1, 2018")
    expect(box.get_by_text("Guardian: Orla Reed")).to_have_count(2)
    expect(box.get_by_role("link", name="555-0144")).to_have_count(2)
    box.get_by_role("button", name="They’re one child").click()
    expect(line(one, "Juno Reed")).to_contain_text("can’t be undone")
    assert Child.objects.filter(name__startswith="Juno").count() == 2
    line(one, "Juno Reed").get_by_role("button", name="Yes, merge into one child").click()
    # At once, and without signal; nothing is offered that could not be kept.
    expect(one.locator("#tally")).to_contain_text("1 of 4 children here")
    expect(line(one, "Juno Read")).to_have_count(0)
    expect(line(one, "Juno Reed")).to_contain_text("allergy: bee stings")
    expect(one.locator("#undo")).not_to_contain_text("one child")
    find_signal(first)
    all_sent(one)
    sign_out(one, "Juno Reed", "Orla Reed, guardian")
    all_sent(one)
    wake(two)
    for page in (one, two):
        expect(page.locator("#tally")).to_contain_text("0 of 4 children here")
        expect(line(page, "Juno Reed")).to_contain_text("allergy: bee stings")
        expect(page.get_by_text("perhaps one child")).to_have_count(0)
        expect(line(page, "Juno Read")).to_have_count(0)
    child = Child.objects.get(name__startswith="Juno")
    assert child.name == "Juno Reed" and child.allergies == "bee stings"
    assert SignIn.objects.get(child=child).pickup == "Orla Reed" and FloorDay.objects.get().twins == []
    assert console == []


@pytest.mark.django_db(transaction=True)
def test_one_phone_says_one_child_and_the_other_two_it_stays_open(phones, floor):
    first, second, one, two = phones
    met(first, second, one, two)
    expect(line(one, "Juno Read")).to_contain_text("perhaps one child")
    lose_signal(first)
    lose_signal(second)
    for page, name in ((one, "They’re one child"), (two, "They’re two children")):
        line(page, "Juno Reed").get_by_role("button", name="One child or two?").click()
        line(page, "Juno Reed").get_by_role("button", name=name).click()
    line(one, "Juno Reed").get_by_role("button", name="Yes, merge into one child").click()
    expect(two.get_by_text("perhaps one child")).to_have_count(0)
    find_signal(second)
    all_sent(two)
    find_signal(first)
    all_sent(one)
    wake(two)
    for page in (one, two):
        expect(page.locator("#tally")).to_contain_text("2 of 5 children here")
        expect(line(page, "Juno Read")).to_contain_text("One phone says one child, another says two.")
        expect(line(page, "Juno Read")).to_contain_text("allergy: bee stings")
    assert Child.objects.filter(name__startswith="Juno").count() == 2
    at_part(two, "Close the day")
    expect(two.locator("#close-why")).to_contain_text("fix entries where two phones differ")
    two.locator("#closing-state").get_by_role("button", name="One child or two?").click()
    two.locator("#closing-state").get_by_role("button", name="They’re one child").click()
    two.locator("#closing-state").get_by_role("button", name="Yes, merge into one child").click()
    all_sent(two)
    assert soon(two, lambda: Child.objects.filter(name__startswith="Juno").count() == 1)


@pytest.mark.django_db(transaction=True)
def test_two_by_one_phone_after_another_has_merged_them_count_as_two(phones, floor):
    first, second, one, two = phones
    met(first, second, one, two)
    expect(line(one, "Juno Read")).to_contain_text("perhaps one child")
    lose_signal(second)
    for page, name in ((one, "They’re one child"), (two, "They’re two children")):
        line(page, "Juno Reed").get_by_role("button", name="One child or two?").click()
        line(page, "Juno Reed").get_by_role("button", name=name).click()
    line(one, "Juno Reed").get_by_role("button", name="Yes, merge into one child").click()
    all_sent(one)
    assert soon(one, lambda: Child.objects.filter(name__startswith="Juno").count() == 1)
    find_signal(second)
    all_sent(two)
    at_part(two, "Close the day")
    expect(two.locator("#closing-state")).to_contain_text("Merged records can’t be separated.")
    two.get_by_role("button", name="It’s settled").click()
    expect(two.get_by_text("Merged records can’t be separated.")).to_have_count(0)
    all_sent(two)
    assert FloorDay.objects.get().conflicts == []


@pytest.mark.django_db(transaction=True)
def test_a_walk_in_who_is_on_the_list_is_found_without_signal(floor_phone, floor):
    context = floor_phone()
    page = load(context, floor)
    lose_signal(context)
    wren = floor.children[0]
    born = wren.birth_date
    swapped = date(born.year, born.day, born.month) if born.day <= 12 else born
    walk_in(page, "ASH, Wren", swapped.isoformat(), allergies="peanuts")
    expect(line(page, "Wren Ash")).to_contain_text("perhaps one child: also on the list as ASH, Wren")
    expect(line(page, "Wren Ash")).to_contain_text("peanuts")


@pytest.fixture
def js(browser):
    context = browser.new_context()
    page = bare(context)
    names = [module(name) for name in ("rules", "twins", "view")]
    page.evaluate(
        "(names) => Promise.all(names.map((one) => import(one))).then((all) => { Object.assign(globalThis, ...all); })",
        names,
    )
    yield page
    context.close()


def test_the_phone_finds_the_same_pairs_as_the_server(js):
    cases = [
        [{"name": name, "born": born, "walked": True}, {"name": other, "born": other_born, "walked": False}]
        for name, born, other, other_born, _ in TWIN_NAMES
    ]
    found = js.evaluate("(cases) => cases.map(([one, two]) => [perhapsOne(one, two), perhapsOne(two, one)])", cases)
    assert found == [[code, code] for *_, code in TWIN_NAMES]
    listed = [one | {"walked": False} for pair in cases for one in pair]
    assert js.evaluate("(people) => pairsAmong(people)", listed) == []
    people = [
        {"who": f"w-{n}", "name": name, "born": born, "walked": True} for n, (name, born, *_) in enumerate(TWIN_NAMES)
    ]
    slow = js.evaluate(
        """(people) => people.flatMap((one, at) => people.slice(at + 1).filter((other) => perhapsOne(one, other))
          .map((other) => [one.who, other.who]))""",
        people,
    )
    assert js.evaluate("(people) => pairsAmong(people).map(({ one, other }) => [one.who, other.who])", people) == slow
    assert len(slow) > 20


def test_two_lines_joined_have_the_stays_that_the_server_makes_of_both(js):
    """Outside check: the server's own fold, of the same taps under one name."""
    chance = random.Random(7)
    start = datetime.fromisoformat("2026-10-03T13:30:00+00:00")
    for _ in range(200):
        rows, minute = [], 0
        for seq in range(1, chance.randint(2, 12)):
            minute += chance.randint(1, 4)
            kind, who = chance.choice(["in", "in", "out"]), chance.choice(["w-1", "w-2"])
            facts = {"who": who} | ({"pickup": "Bram"} if kind == "out" else {})
            rows.append(Action(f"id-{seq}", "a", seq, start + timedelta(minutes=minute), kind, facts))
        apart, joined = fold(rows), fold([
            Action(row.id, row.phone, row.seq, row.at, row.kind, dict(row.facts) | {"who": "w-1"}) for row in rows
        ])  # fmt: skip
        if any(one.code == "out without in" for one in apart.conflicts):
            # Of what no stay holds, the phone can know nothing until the server has joined them.
            continue
        ours = js.evaluate("([one, two]) => joinedStays(one, two)", [stays(apart, "w-1"), stays(apart, "w-2")])
        wanted = stays(joined, "w-1")
        assert [(one["in"], one["out"], one["pickup"]) for one in ours] == [
            (one["in"], one["out"], one["pickup"]) for one in wanted
        ]


def stays(state, who):
    return [
        {"in": one.in_at.isoformat(), "out": one.out_at.isoformat() if one.out_at else None, "pickup": one.pickup,
         "in_id": one.in_by, "out_id": one.out_by or None,
         "in_again": [{"id": row.id, "at": row.at.isoformat(), "pickup": ""} for row in one.in_again],
         "out_again": [{"id": row.id, "at": row.at.isoformat(), "pickup": "Bram"} for row in one.out_again]}
        for one in state.stays.get(who, [])
    ]  # fmt: skip


LINE = {
    "given": "", "waiver": "current", "photos": True, "allergies": "", "care_notes": "", "must_not": [],
    "pickup_people": [], "emergency": {"name": "", "phone": ""}, "walked": True, "born": BORN, "name": "Juno Reed",
    "state": "held", "group": "",
}  # fmt: skip
STATE: dict[str, Any] = {
    "stays": {},
    "walk_ins": [],
    "scores": [],
    "incidents": [],
    "waivers": {},
    "pairs": [],
    "conflicts": [],
}


def test_until_settled_what_is_known_of_either_stands_at_both_and_then_at_one(js):
    lines = [
        LINE | {"who": "w-1", "age": 8, "allergies": "bees", "must_not": ["Tobias Ash"]},
        LINE | {"who": "w-2", "age": 5, "care_notes": "Inhaler", "photos": False, "born": "2019-01-01"},
    ]
    state = STATE | {"walk_ins": [{"who": "w-1"}, {"who": "w-2"}]}
    out = js.evaluate("([lines, state]) => withTwins(lines, state)", [lines, state])
    for one in out["lines"]:
        assert (one["allergies"], one["care_notes"], one["must_not"]) == ("bees", "Inhaler", ["Tobias Ash"])
        assert one["photos"] is False and one["counted"] == 5
    assert out["pairs"][0]["said"] == ""
    words = {"same": 1, "apart": 2, "differ": 2}
    for word, count in words.items():
        kinds = ["same", "apart"] if word == "differ" else [word]
        said = [{"id": kind, "kind": kind, "who": "w-2", "other": "w-1"} for kind in kinds]
        for rows in itertools.permutations(said):
            out = js.evaluate("([lines, state]) => withTwins(lines, state)", [lines, state | {"pairs": list(rows)}])
            assert len(out["lines"]) == count and len(out["pairs"]) == (word == "differ")
            assert [one.get("counted", one["age"]) for one in out["lines"]] == {
                "same": [8], "apart": [8, 5], "differ": [5, 5],
            }[word]  # fmt: skip


def test_a_phone_that_loaded_its_day_before_two_were_merged_loses_nothing_of_either(js):
    """Its list still has both records; the walk-in is one of them."""
    lines = [LINE | {"who": "w-1", "age": 8}, LINE | {"who": "c11", "age": 8, "walked": False, "allergies": "bees"}]
    state = STATE | {"walk_ins": [{"who": "w-1", "child": "c10"}], "called": {"c10": "w-1", "c11": "w-1", "w-2": "w-1"}}
    out = js.evaluate("([lines, state]) => withTwins(lines, state)", [lines, state])
    assert [(one["who"], one["allergies"]) for one in out["lines"]] == [("w-1", "bees")] and out["pairs"] == []


@pytest.mark.django_db(transaction=True)
def test_a_comparison_opens_under_one_line_and_names_no_element_twice(floor_phone, floor, other):
    first, second, one, two = typed_twice(floor, floor_phone(bypass_csp=True), floor_phone(other[1]))
    met(first, second, one, two)
    expect(line(one, "Juno Read")).to_contain_text("perhaps one child")
    assert Axe().run(one).response["violations"] == []
    line(one, "Juno Read").get_by_role("button", name="One child or two?").click()
    expect(one.get_by_role("group", name="One child or two?")).to_have_count(1)
    expect(one.get_by_role("button", name="They’re one child")).to_be_focused()
    assert Axe().run(one).response["violations"] == [] and one.evaluate(SMALL) == []
    assert one.evaluate("document.documentElement.scrollWidth") <= 390
    at_part(one, "Close the day")
    assert Axe().run(one).response["violations"] == []
    ids = one.evaluate("[...document.querySelectorAll('[id]')].map((one) => one.id)")
    assert len(ids) == len(set(ids))
    at_part(one, "Door")
    one.get_by_role("button", name="Not sure yet").click()
    expect(line(one, "Juno Read").get_by_role("button", name="One child or two?")).to_be_focused()
