"""Every code that a rule of run sheets gives has a sentence, and what was kept in words before is shown as it is."""

import re

import pytest

from kits.words.plans import plan_notes, plan_trouble, trip_start
from runsheets.words.activities import row_words
from runsheets.words.reasons import _SENTENCES, binding_words, change_words, kept_words, problem_words, trouble_words
from tests.street import ROOT

GIVEN = re.compile(r'(?:Reason|because)\(\s*f?"([^"]+)"')
NAMES = {"pulse-data": "Pulse data"}


def given():
    rooms = (ROOT / "runsheets" / "rules").rglob("*.py"), [ROOT / "runsheets" / "services" / "run_sheets.py"]
    for path in (one for room in rooms for one in room):
        for code in GIVEN.findall(path.read_text().replace("Refusal.because", "")):
            yield from (code.replace("{what}", what) for what in ("group", "activity")) if "{what}" in code else [code]


def test_every_code_has_a_sentence_and_no_sentence_is_left_over():
    codes = set(given())
    things = {"station {thing}"}
    stations = {f"station {thing}" for thing in ("hoops", "tables", "sockets")}

    assert things <= codes
    # The first two are those of a cell, the third is written where the time runs out.
    assert set(_SENTENCES) == (codes - things) | stations | {"bad character", "too long", "no time"}


@pytest.mark.django_db
def test_a_limit_that_more_would_help_is_named_and_without_one_all_numbers_are():
    facts = {"groups": 1, "adults": 1, "hoops": 2, "minutes": 60}
    named = {"code": "no plan", "facts": facts | {"limits": [["skill:stem lead", None], ["capacity", 1]]}}
    plain = {"code": "no plan", "facts": facts | {"limits": []}}

    assert binding_words([named]).endswith("The problem is who can be STEM lead or the size of the space (1 person).")
    assert "1 group to every station with 1 adult, 2 hoops, and 60 minutes." in binding_words([plain])


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ([["adults", 1]], "one more adult"),
        (
            [["adults", 2], ["minutes", 10], ["capacity", 3]],
            "2 more adults, 10 more minutes, and a space for 3 more people",
        ),
        ([["smaller groups", 1]], "one fewer child per group"),
        ([["leave out", "pulse-data"]], "skip Pulse data"),
    ],
)
def test_a_change_is_said_with_its_number(parts, words):
    assert change_words({"parts": parts}, NAMES) == words


def test_what_was_kept_in_words_is_shown_as_it_is():
    assert binding_words("There were 2 hoops.") == "There were 2 hoops."
    assert change_words({"words": "5 more hoops", "parts": [["hoops", 5]]}, NAMES) == "5 more hoops"
    assert kept_words(["A is not for group B."]) == ["A is not for group B."]
    assert trouble_words("Nothing was found.", {}) == "Nothing was found."
    assert row_words(["name is empty"]) == ["Name is empty."]
    assert plan_notes(["Left out: Kit 7."]) == ["Left out: Kit 7."]
    assert plan_trouble("Choose fewer days.") == "Choose fewer days."
    assert trip_start({"from": "where Imara Venn has it"}) == "where Imara Venn has it"


def test_a_trip_starts_at_a_center_or_with_whoever_has_the_kit():
    assert trip_start({"from": "Quarry Lane Library", "holder": ""}) == "Quarry Lane Library"
    assert trip_start({"from": "", "holder": "Imara Venn"}) == "Imara Venn"


def test_what_another_rule_refuses_says_it_itself():
    assert problem_words(ValueError("No ratio for age 3.")) == "No ratio for age 3."
