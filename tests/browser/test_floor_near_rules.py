"""The floor page's own comparison of names, run in Chromium and held to the table that the server's is held to."""

import json
from pathlib import Path

import pytest

from people.rules.near_names import sounds, trigrams
from tests.browser.bare_page import bare, module

pytestmark = pytest.mark.browser
TABLE = json.loads((Path(__file__).parents[1] / "people" / "near_names.json").read_text(encoding="utf-8"))


@pytest.fixture
def names(browser):
    context = browser.new_context()
    page = bare(context)
    page.evaluate(f"import('{module('names')}').then((names) => {{ Object.assign(globalThis, names); }})")
    yield page
    context.close()


def test_the_phone_finds_each_pair_of_the_table_as_near_as_the_server(names):
    said = names.evaluate(
        "(pairs) => pairs.map(([one, other]) => [[...near(one, other)].sort(), similarity(one, other)])",
        [row[:2] for row in TABLE],
    )
    wrong = [
        (row, codes, alike)
        for row, (codes, alike) in zip(TABLE, said, strict=True)
        if codes != row[2] or round(alike, 6) != row[3]
    ]

    assert wrong == []


def test_the_phone_hears_and_takes_apart_each_name_as_the_server(names):
    each = sorted({name for row in TABLE for name in row[:2]})
    said = names.evaluate("(each) => each.map((one) => [sounds(one), [...trigrams(one)]])", each)

    assert [(code, set(three)) for code, three in said] == [(sounds(one), trigrams(one)) for one in each]


@pytest.mark.parametrize(
    ("name", "barred", "same", "like"),
    [
        ("bram  ÁSH", ["Rafe Vale", "Bram Ash"], "Bram Ash", ["Bram Ash"]),
        ("Ash Bram", ["Bram Ash"], "Bram Ash", ["Bram Ash"]),
        ("Bram Ashe", ["Rafe Vale", "Bram Ash"], None, ["Bram Ash"]),
        ("Rafe Ash", ["Rafe Vale", "Bram Ash"], None, ["Rafe Vale", "Bram Ash"]),
        ("Petra Quill", ["Rafe Vale", "Bram Ash"], None, []),
        ("Petra Quill", [], None, []),
        # No letter to compare by: the same is still the same.
        ("–", ["–"], "–", []),
    ],
)
def test_a_name_is_held_against_all_who_must_not(names, name, barred, same, like):
    assert names.evaluate("([name, barred]) => against(name, barred)", [name, barred]) == {"same": same, "like": like}
