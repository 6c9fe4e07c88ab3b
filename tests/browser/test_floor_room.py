"""Worked out without a page: what has moved, who stays listed, what can be undone, and who has room."""

import random

import pytest

from families.rules.spots import Band, band_of, free_spots
from tests.browser.bare_page import bare, module

pytestmark = pytest.mark.browser


@pytest.fixture
def pure(browser):
    context = browser.new_context()
    page = bare(context)
    for name in ("still", "undo", "room"):
        page.evaluate(f"import('{module(name)}').then((all) => {{ Object.assign(globalThis, all); }})")
    yield page
    context.close()


MOVED = "([before, after]) => moved(new Map(Object.entries(before)), new Map(Object.entries(after)))"


def test_what_is_new_elsewhere_or_says_something_else_has_moved_and_nothing_more(pure):
    def row(top, says="Sign in"):
        return {"top": top, "says": says}

    before = {"a": row(100), "b": row(170), "c": row(240), "gone": row(310)}
    after = {"a": row(100, "In 15:02"), "b": row(178), "c": row(249), "new": row(310)}

    assert pure.evaluate(MOVED, [before, after]) == ["a", "c", "new"]
    assert pure.evaluate(MOVED, [after, after]) == []
    assert pure.evaluate(MOVED, [{}, before]) == list(before)


def test_who_belonged_stays_until_the_list_was_still_and_the_keyboard_keeps_its_line(pure):
    held = "([held, belongs, idle, pinned]) => [...heldNow(new Set(held), belongs, idle, pinned)].sort()"
    still = pure.evaluate("STILL_MS")

    assert pure.evaluate(held, [["a", "b"], ["b", "c"], still - 1, []]) == ["a", "b", "c"]
    assert pure.evaluate(held, [["a", "b"], ["b", "c"], still, []]) == ["b", "c"]
    assert pure.evaluate(held, [["a", "b"], ["b"], still + 9, ["a"]]) == ["a", "b"]
    # Whoever was never on this list is not brought onto it.
    assert pure.evaluate(held, [["b"], ["b"], still, ["z"]]) == ["b"]
    assert 300 < pure.evaluate("SETTLE_MS") < still


def test_what_can_be_undone_waits_or_is_named_by_the_server_and_is_undone_nowhere(pure):
    done = [{"id": f"id-{n}", "words": f"tap {n}"} for n in range(1, 7)]
    pending = [
        {"id": "id-5", "kind": "in", "facts": {"who": "c5"}},
        {"id": "u-1", "kind": "undo", "facts": {"of": "id-2"}},
        {"id": "id-6", "kind": "note", "facts": {}},
        {"id": "u-2", "kind": "undo", "facts": {"of": "id-6"}},
    ]
    # Another phone undid the third, and the fourth stands only in what was said again.
    state = {
        "stays": {"c1": [{"in_id": "id-1"}], "c2": [{"in_id": "id-2"}], "c4": [{"in_again": [{"id": "id-4"}]}]},
    }
    left = pure.evaluate("([done, facts]) => canUndo(done, facts)", [done, {"pending": pending, "state": state}])

    assert [one["id"] for one in left] == ["id-1", "id-4", "id-5"]


def test_ages_are_said_as_ranges_that_do_not_touch(pure):
    bands = [[10, 12, 8], [5, 6, 4], [7, 7, 4], [14, 14, 2]]

    assert pure.evaluate("(bands) => agesOf(bands)", bands) == [[5, 7], [10, 12], [14, 14]]
    ages = pure.evaluate("(bands) => [4, 5, 7, 8, 9, 12, 13, 14, 15].filter((age) => outsideAges(age, bands))", bands)
    assert ages == [4, 8, 9, 13, 15]
    assert pure.evaluate("outsideAges(40, [])") is False


def test_an_adult_is_planned_for_a_child_by_group_and_slot(pure):
    sheet = {
        "slots": [{"adults": {"A": ["Petra"], "B": ["Oswin"]}}, {"adults": {"A": ["Petra"], "B": []}}],
        "groups": [{"code": "A", "children": ["c1"]}, {"code": "B", "children": ["c2"]}],
    }

    def of(group, slot, sheet=sheet):
        return pure.evaluate(
            "([child, sheet, slot]) => withoutAdult(child, sheet, slot)", [{"group": group}, sheet, slot]
        )

    # Before the start, the first slot is what the child comes in for.
    assert [of("B", slot) for slot in (-1, 0, 1)] == ["", "", "no adult"]
    assert of("A", 1) == "" and of("", 0) == "no group"
    # Made from expected numbers, before anybody registered; or not made at all.
    assert of("", 0, sheet | {"groups": [{"code": "A", "children": []}]}) == of("", 0, None) == ""


def test_spots_are_taken_exactly_when_the_server_has_none_free(pure):
    chance = random.Random(7)
    cases, wanted = [], []
    for _ in range(300):
        bands = [Band(5, 7, chance.randint(1, 4)), Band(9, 12, chance.randint(1, 4))][: chance.randint(1, 2)]
        ages = [chance.randint(4, 13) for _ in range(chance.randint(0, 9))]
        mine = chance.randint(4, 13)
        children = [{"who": f"c{n}", "age": age, "state": "held"} for n, age in enumerate(ages)]
        cases.append([{"who": "x", "age": mine}, [[one.youngest, one.oldest, one.spots] for one in bands], children])
        free = free_spots(bands, {age: ages.count(age) for age in ages})
        band = band_of(mine, bands)
        wanted.append(free[band] == 0 if band else len(ages) >= sum(one.spots for one in bands))
    taken = pure.evaluate(
        "(cases) => cases.map(([child, bands, children]) => spotsTaken(child, bands, children, new Set()) !== null)",
        cases,
    )

    assert taken == wanted and len(set(wanted)) == 2


def test_who_waits_takes_a_spot_once_inside_and_who_is_here_is_counted(pure):
    children = [
        {"who": "c1", "age": 8, "state": "held"},
        {"who": "c2", "age": 8, "state": "waiting"},
        {"who": "c3", "age": 8, "state": "waiting"},
        {"who": "c4", "age": 8, "state": "given up"},
    ]
    taken = "([children, here]) => spotsTaken(children[2], [[7, 10, 2]], children, new Set(here))"

    assert pure.evaluate(taken, [children, []]) is None
    assert pure.evaluate(taken, [children, ["c2"]]) == {"spots": 2, "here": 1, "low": 7, "high": 10}
    assert pure.evaluate(taken, [children, ["c4", "c3"]]) == {"spots": 2, "here": 1, "low": 7, "high": 10}
    assert pure.evaluate("spotsTaken({age: 8}, [], [], new Set())") is None


def test_the_fire_limit_is_reached_by_one_person_more_and_unknown_there_is_none(pure):
    said = pure.evaluate("[[58, 60], [59, 60], [60, 60], [61, 60], [900, null]].map((two) => overLimit(...two))")

    assert said == [False, False, True, True, False]
