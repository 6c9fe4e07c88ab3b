"""A thumb that taps twice, or just as the list moves: each tap acts on the one it was meant for, or on no one."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Page, expect

from core import clock
from floor.services.phones import open_phone
from tests.browser.floor_page import all_sent, line, load, more_children, sign_in, wake
from tests.floor_days import entry, send

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
# Between the two taps of one double tap; a browser counts two as one up to 300 ms.
APART_MS = 150


def middle(button):
    box = button.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


@contextmanager
def at_one_moment(page: Page) -> Iterator[None]:
    """Without the page's clock going on: on a busy machine two quick taps may else be a long time apart."""
    page.clock.pause_at(page.evaluate("Date.now()") / 1000 + 2)
    yield
    page.clock.resume()


def tap_twice(page, button):
    """Both where the button was at first, wherever it is by then."""
    page.wait_for_timeout(600)
    button.scroll_into_view_if_needed()
    place = middle(button)
    with at_one_moment(page):
        for _ in range(2):
            page.touchscreen.tap(*place)
            page.wait_for_timeout(APART_MS)


def key(page, name):
    return line(page, name).locator("> button")


def here(page):
    return page.locator("#tally p").first.inner_text()


@pytest.fixture
def crowd(floor_phone, floor, household, make_shift, make_assignment, make_volunteer):
    """Eight children and three adults; the adults are in, so that no warning comes and goes above the list."""
    more_children(floor, household, 5)
    make_assignment(make_shift(floor.clinic, "coach"), make_volunteer(name="Petra Lang"))
    page = load(floor_phone(touch=True), floor)
    sign_in(page, "Oswin Tarrant", "Petra Lang", floor.coach.volunteer.name)
    return page


def test_two_double_taps_on_who_is_not_here_yet_sign_in_two_children(crowd):
    sign_in(crowd, "Bryn Vale")
    crowd.get_by_role("button", name="Not here yet").click()
    counts = [here(crowd)]
    for name in ("Child00", "Child01"):
        if key(crowd, name).count():
            tap_twice(crowd, key(crowd, name))
        else:
            tap_twice(crowd, crowd.locator("ul.door > li > button").first)
        counts.append(here(crowd))

    assert counts == ["1 of 8 children here", "2 of 8 children here", "3 of 8 children here"]
    # Both stay where they were, with what became of them.
    for name in ("Child00", "Child01"):
        expect(key(crowd, name)).to_contain_text("In ")
    expect(crowd.locator(".going")).to_have_count(0)
    # Chosen again, the list is who is not here now.
    crowd.get_by_role("button", name="Not here yet").click()
    expect(line(crowd, "Child00")).to_have_count(0)
    expect(line(crowd, "Child02")).to_have_count(1)


def test_two_double_taps_on_who_is_here_sign_out_two_adults(crowd, floor):
    crowd.get_by_role("button", name="Here now").click()
    for name in ("Oswin Tarrant", "Petra Lang"):
        tap_twice(crowd, key(crowd, name) if key(crowd, name).count() else crowd.locator("ul.door > li > button").first)
    expect(key(crowd, "Oswin Tarrant")).to_contain_text("Out ")
    expect(key(crowd, "Petra Lang")).to_contain_text("Out ")
    expect(key(crowd, floor.coach.volunteer.name)).to_contain_text("In ")


def test_a_double_tap_on_who_picks_up_signs_out_one_child_and_asks_of_no_other(crowd):
    sign_in(crowd, "Bryn Vale", "Child00", "Child01", "Child02")
    crowd.get_by_role("button", name="Here now").click()
    key(crowd, "Bryn Vale").click()
    crowd.wait_for_timeout(600)
    # From the key of the question the second tap would fall on whoever came up under it.
    tap_twice(crowd, line(crowd, "Bryn Vale").get_by_role("button", name="Not leaving yet"))
    expect(crowd.locator(".going")).to_have_count(0)
    key(crowd, "Bryn Vale").click()
    crowd.wait_for_timeout(600)
    tap_twice(crowd, line(crowd, "Bryn Vale").get_by_role("button", name="Uncle Bram"))

    expect(key(crowd, "Bryn Vale")).to_contain_text("Out ")
    expect(crowd.locator(".going")).to_have_count(0)
    assert here(crowd) == "3 of 8 children here"


def test_a_double_tap_that_brings_up_the_warning_acts_on_one_child_only(floor_phone, floor, household):
    more_children(floor, household, 5)
    page = load(floor_phone(touch=True), floor)
    for name in ("Child01", "Child03"):
        before = int(here(page).split()[0])
        tap_twice(page, key(page, name))
        assert int(here(page).split()[0]) == before + 1
        expect(page.locator(".going")).to_have_count(0)
    expect(page.get_by_role("alert")).to_contain_text("No adult is signed in")


@pytest.mark.parametrize("above_foot", [500, 20])
def test_a_double_tap_opens_the_question_and_answers_nothing(crowd, above_foot):
    """Where the question has room, and where the page moves it up under the thumb."""
    sign_in(crowd, "Wren Ash")
    crowd.evaluate(
        """(above) => { const box = document.querySelector("[id^=press-c]:not(.quiet)").getBoundingClientRect();
          scrollBy(0, box.bottom - document.querySelector("#foot").getBoundingClientRect().top + above); }""",
        above_foot,
    )
    tap_twice(crowd, key(crowd, "Wren Ash"))
    expect(crowd.locator(".going")).to_have_count(1)
    assert here(crowd) == "1 of 8 children here"


def test_a_tap_that_lands_as_another_phones_answer_moves_the_list_is_not_taken(crowd, floor, now):
    names = ["Child00 Alder", "Child01 Alder"]
    sign_in(crowd, *names)
    all_sent(crowd)
    other, _ = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    crowd.get_by_role("button", name="Here now").click()
    crowd.wait_for_timeout(600)
    place = middle(key(crowd, names[1]))
    # Bryn stands before them both.
    send(floor, entry(1, "in", clock.now(), who=f"c{floor.children[2].pk}"), phone=other, now=clock.now())
    with at_one_moment(crowd):
        wake(crowd)
        line(crowd, "Bryn Vale").wait_for()
        crowd.touchscreen.tap(*place)
        crowd.wait_for_timeout(APART_MS)
        expect(crowd.locator(".going")).to_have_count(0)
    crowd.wait_for_timeout(600)
    crowd.touchscreen.tap(*place)
    expect(crowd.locator(".going")).to_have_count(1)
    expect(line(crowd, names[0]).locator(".going")).to_have_count(1)


def test_who_no_longer_belongs_leaves_when_the_list_has_been_still_for_a_moment(crowd):
    crowd.get_by_role("button", name="Not here yet").click()
    key(crowd, "Bryn Vale").tap()
    expect(key(crowd, "Bryn Vale")).to_contain_text("In ")
    crowd.wait_for_timeout(2500)
    crowd.touchscreen.tap(20, 20)
    crowd.wait_for_timeout(2500)
    # The thumb was busy in between.
    expect(key(crowd, "Bryn Vale")).to_contain_text("In ")
    expect(line(crowd, "Bryn Vale")).to_have_count(0)
    expect(line(crowd, "Child00")).to_have_count(1)


def test_keys_and_readers_are_never_kept_waiting(crowd):
    # A click of a screen reader or a key has no pointer: the row may have changed in this very moment.
    crowd.evaluate("(id) => document.getElementById(id).click()", key(crowd, "Wren Ash").get_attribute("id"))
    expect(key(crowd, "Wren Ash")).to_contain_text("In ")
    crowd.evaluate("(id) => document.getElementById(id).click()", key(crowd, "Wren Ash").get_attribute("id"))
    expect(line(crowd, "Wren Ash").locator(".going")).to_have_count(1)


def test_undo_goes_back_step_by_step_also_over_what_was_sent(crowd, floor):
    undo = crowd.locator("#undo")
    sign_in(crowd, "Wren Ash", "Bryn Vale", "Fern Moss")
    all_sent(crowd)
    line(crowd, "Bryn Vale").locator("summary").click()
    line(crowd, "Bryn Vale").get_by_role("button", name="Undo sign-in").click()
    for name in ("Fern", "Wren", floor.coach.volunteer.name.split()[0], "Petra", "Oswin"):
        expect(undo).to_have_text(f"Undo: {name} signed in")
        # Twice, as a thumb does: one step.
        tap_twice(crowd, undo)
    expect(undo).to_be_hidden()
    all_sent(crowd)
    assert here(crowd) == "0 of 8 children here"
