"""The colors of the stylesheet: on the floor page, which is read in bright sun, all words are 7 to 1."""

from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from tests.contrast import ENHANCED, contrast, tokens

CSS = Path(str(finders.find("core/whistlestop.css"))).read_text(encoding="utf-8")
ROOT = tokens(CSS, ":root")
FLOOR = {**ROOT, **tokens(CSS, ".floor"), "white": "#FFFFFF"}
# What is written on what: names, marks, keys, the alarm, the clock and the foot.
WORDS = [
    *(
        ("--ink", ground)
        for ground in ("--paper", "--sheet", "--maple-pale", "--set-pale", "--due-pale", "--stop-pale")
    ),
    *(("--soft", ground) for ground in ("--paper", "--sheet", "--maple-pale")),
    *(("--link", ground) for ground in ("--paper", "--sheet")),
    ("--set", "--set-pale"),
    ("--due", "--due-pale"),
    ("--stop", "--stop-pale"),
    ("--stop", "--sheet"),
    ("--stop", "--paper"),
    ("--sheet", "--ink"),
    ("white", "--stop"),
]


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    # 21 and 1 are the ends; gray on white is the example that WCAG's own pages give for 4.5 to 1.
    [("#000000", "#FFFFFF", 21), ("#FFFFFF", "#FFFFFF", 1), ("#767676", "#FFFFFF", 4.54), ("#FFFFFF", "#767676", 4.54)],
)
def test_the_ratio_is_that_of_the_standard(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize(("words", "ground"), WORDS)
def test_words_of_the_floor_page_are_seven_to_one(words, ground):
    assert contrast(FLOOR[words], FLOOR[ground]) >= ENHANCED


def test_only_the_floor_page_is_darker():
    assert set(tokens(CSS, ".floor")) == {"--soft", "--set", "--due", "--stop"}
    assert all(ROOT[name] != color for name, color in tokens(CSS, ".floor").items())
