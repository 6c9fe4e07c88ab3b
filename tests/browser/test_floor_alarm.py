"""The floor page's alarm, as the lead sees it and a screen reader hears it, and what it leaves of the list."""

import pytest
from playwright.sync_api import expect

from tests.browser.floor_page import all_sent, at_part, box_of, line, load, lose_signal, more_children, sign_in
from tests.browser.test_floor_door import kept_away, with_sheet  # noqa: F401
from tests.contrast import ENHANCED, contrast

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

# The lines of children that are wholly to be seen: not behind the alarm, not behind the foot, not beside the screen.
WHOLE = """() => {
  const over = Math.max(0, document.getElementById("alarm").getBoundingClientRect().bottom);
  const under = document.getElementById("foot").getBoundingClientRect().top;
  return [...document.querySelectorAll("ul.rows.door > li")].map((one) => one.getBoundingClientRect())
    .filter((box) => box.height > 0 && box.top >= over - 0.5 && box.bottom <= under + 0.5
      && box.left >= 0 && box.right <= innerWidth + 0.5).length;
}"""
TO_LIST = """() => scrollBy({ behavior: "instant",
  top: document.querySelector("ul.rows.door > li").getBoundingClientRect().top
  - document.getElementById("alarm").getBoundingClientRect().bottom })"""
# What a screen reader could be told again: any change inside the alarm.
WATCHED = """() => {
  globalThis.changes = 0;
  new MutationObserver((all) => { globalThis.changes += all.length; })
    .observe(document.getElementById("alarm"), { subtree: true, childList: true, characterData: true });
}"""


@pytest.fixture
def needs_all(floor, make_shift):
    """A clinic that asks for a first aider and for somebody at the door too, beside its lead and coach."""
    for duty in ("first_aider", "door"):
        make_shift(floor.clinic, duty)
    return floor


def heads(page):
    """The reasons, the worst first."""
    return page.locator("#alarm b").all_text_contents()


def test_every_reason_stands_there_at_once_the_worst_first_and_with_its_source(floor_phone, needs_all):
    page = load(floor_phone(), needs_all)
    expect(page.locator("#alarm")).to_be_empty()
    sign_in(page, "Wren Ash")
    assert heads(page) == [
        "No adult is signed in", "No lead is signed in", "No first aider is signed in", "No one is at the door",
    ]  # fmt: skip
    expect(page.locator("#alarm")).to_contain_text("Oswin Tarrant")
    sign_in(page, needs_all.coach.volunteer.name)
    assert heads(page)[:2] == ["Only 1 adult is with the children", "No lead is signed in"]
    expect(page.locator("#alarm")).to_contain_text("NSPCC")
    expect(page.locator("#alarm")).to_contain_text("at least two adults present")
    expect(page.locator("#alarm")).not_to_contain_text("ombine groups")
    sign_in(page, "Oswin Tarrant")
    assert heads(page) == ["No first aider is signed in", "No one is at the door"]


def test_nothing_is_shouted_before_a_child_is_in_and_nothing_after_the_last_went(floor_phone, needs_all):
    page = load(floor_phone(), needs_all)
    sign_in(page, needs_all.coach.volunteer.name)
    expect(page.locator("#alarm")).to_be_empty()
    assert page.locator("#alarm").get_attribute("class") in (None, "")


def test_the_table_that_asks_for_more_adults_is_named_with_whose_it_is(floor_phone, floor, household):
    floor.clinic.center.ratio_table = "nspcc"
    floor.clinic.center.save()
    names = more_children(floor, household, 14)
    page = load(floor_phone(), floor)
    sign_in(page, "Oswin Tarrant", floor.coach.volunteer.name, "Wren Ash", "Fern Moss", "Bryn Vale", *names)
    # 17 of nine years: one adult for eight by the center's table, one for ten by ours.
    assert heads(page) == ["1 more adult needed now"]
    alarm = page.locator("#alarm")
    expect(alarm).to_contain_text("You need 3 adults for children from age 9; 2 are here.")
    expect(alarm).to_contain_text("the center’s table: NSPCC, recommended adult to child ratios")


def test_the_alarm_says_nothing_anew_at_a_tap_that_changes_no_reason(floor_phone, needs_all, household):
    names = more_children(needs_all, household, 3)
    page = load(floor_phone(), needs_all)
    sign_in(page, "Wren Ash")
    expect(page.locator("#alarm")).to_have_attribute("role", "alert")
    page.evaluate(WATCHED)
    sign_in(page, "Fern Moss", "Bryn Vale", *names)
    all_sent(page)
    assert page.evaluate("changes") == 0
    sign_in(page, "Oswin Tarrant")
    assert page.evaluate("changes") > 0, "or the watch sees nothing"


@pytest.mark.parametrize(("width", "height", "scrolled"), [(390, 664, False), (640, 320, True), (390, 844, True)])
def test_three_children_are_to_be_seen_under_an_alarm_of_three_reasons(
    floor_phone, needs_all, household, width, height, scrolled
):
    more_children(needs_all, household, 9)
    page = load(floor_phone(), needs_all)
    sign_in(page, "Wren Ash", needs_all.coach.volunteer.name, "Oswin Tarrant")
    line(page, "Oswin Tarrant").get_by_role("button", name="sign out").click()
    expect(line(page, "Oswin Tarrant").get_by_role("button", name="sign in again")).to_be_visible()
    assert len(heads(page)) >= 3
    page.set_viewport_size({"width": width, "height": height})
    page.evaluate("scrollTo({ top: 0, behavior: 'instant' })")
    expect(page.locator("#kept")).to_be_visible()
    if scrolled:
        page.evaluate(TO_LIST)
    assert page.evaluate(WHOLE) >= 3
    # Nor does the foot take the room when there is more to say there.
    all_sent(page)
    lose_signal(page.context)
    sign_in(page, "Fern Moss")
    page.clock.fast_forward("12:00")
    expect(page.locator("#kept")).to_contain_text("minutes old. 1 entry is saved on this phone")
    page.evaluate(TO_LIST if scrolled else "scrollTo({ top: 0, behavior: 'instant' })")
    assert page.evaluate(WHOLE) >= 3
    head = page.locator("#alarm b").first
    expect(head).to_be_visible()
    if height < 700:
        expect(page.locator("#alarm")).to_contain_text("more")
        expect(page.locator("#alarm b").nth(1)).to_be_hidden()
        page.locator("#alarm summary").click()
    expect(page.locator("#alarm b").nth(1)).to_be_visible()


@pytest.mark.parametrize(("width", "height"), [(390, 664), (640, 320)])
def test_search_and_walk_in_stand_together_and_every_target_is_a_thumb_wide(floor_phone, needs_all, width, height):
    page = load(floor_phone(), needs_all)
    page.set_viewport_size({"width": width, "height": height})
    sign_in(page, "Wren Ash")
    all_sent(page)
    boxes = [box_of(page.locator(at)) for at in ("#find", "#walkin-open")]
    assert abs(boxes[0]["y"] - boxes[1]["y"]) < 8, "in one line"
    if width > height:
        row = box_of(page.locator("#door-show"))
        assert abs(row["y"] - boxes[0]["y"]) < 8, "the filter too, where there is room"
    foot = box_of(page.locator("#foot"))
    assert foot["height"] <= 64, "one line"
    small = page.evaluate(
        """() => [...document.querySelectorAll("button, a, summary, input")].filter((one) => one.checkVisibility())
          .map((one) => [one.id || one.textContent, one.getBoundingClientRect()])
          .filter(([, box]) => box.width < 44 || box.height < 44).map(([name]) => name)"""
    )
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.get_by_role("button", name="Add a walk-in").click()
    expect(page.get_by_label("Child’s name")).to_be_focused()


# Each run of words that is to be seen, with its color and the ground under it, as `#rrggbb`.
INKS = """() => {
  const two = (part) => Number(part).toString(16).padStart(2, "0");
  const hex = (color) => "#" + color.match(/[\\d.]+/g).slice(0, 3).map(two).join("");
  const ground = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const { backgroundColor } = getComputedStyle(at);
      if (!/, 0\\)$/.test(backgroundColor)) return hex(backgroundColor);
    }
    return "#ffffff";
  };
  return [...document.querySelectorAll("body *")]
    .filter((one) => one.checkVisibility() && !one.matches("script, .visually-hidden, :disabled")
      && [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
    .map((one) => [one.textContent.trim().slice(0, 40), hex(getComputedStyle(one).color), ground(one)]);
}"""


def dull(page):
    """Words that stand out too little for bright sun."""
    page.wait_for_timeout(300)
    seen = page.evaluate(INKS)
    assert len(seen) > 20
    return [(words, ink, ground) for words, ink, ground in seen if contrast(ink, ground) < ENHANCED]


def test_every_word_of_the_page_can_be_read_in_bright_sun(floor_phone, needs_all, kept_away):  # noqa: F811
    page = load(with_sheet(floor_phone()), needs_all)
    sign_in(page, "Wren Ash", "Bryn Vale", "Oswin Tarrant")
    line(page, "Oswin Tarrant").get_by_role("button", name="sign out").click()
    line(page, "Bryn Vale").get_by_role("button", name="sign out").click()
    expect(line(page, "Bryn Vale")).to_contain_text("MUST NOT PICK UP")
    line(page, "Wren Ash").locator("summary").click()
    trouble = {"Door": dull(page)}
    for part in ("Run sheet", "Scores", "Incident", "Close the day"):
        at_part(page, part)
        trouble[part] = dull(page)
    page.get_by_role("button", name="Emergency").click()
    trouble["Emergency"] = dull(page)
    assert {part: words for part, words in trouble.items() if words} == {}


def test_with_colors_of_the_readers_own_the_alarm_and_the_keys_still_stand_out(floor_phone, needs_all):
    page = load(floor_phone(), needs_all)
    page.emulate_media(forced_colors="active")
    sign_in(page, "Wren Ash", "Oswin Tarrant")
    edge = """(one) => {
      const { borderTopWidth, borderTopStyle } = getComputedStyle(one);
      return [parseFloat(borderTopWidth), borderTopStyle];
    }"""
    width, style = page.locator("#alarm").evaluate(edge)
    assert width >= 3 and style != "none"
    came = line(page, "Wren Ash").get_by_role("button", name="sign out")
    not_yet = line(page, "Fern Moss").get_by_role("button", name="Sign in")
    assert came.evaluate(edge) != not_yet.evaluate(edge), "in and not in differ by more than color"
    page.get_by_role("button", name="Emergency").click()
    assert page.locator("#call-911").evaluate(edge)[0] >= 3
