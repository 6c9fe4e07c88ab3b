"""The floor page's alarm and clock, run in Chromium: the alarm is held against the server's rule, then read."""

import random
from datetime import datetime, timedelta
from typing import Any

import pytest

from clinics.rules.supervision import LEAST_ADULTS_SOURCE, LEAST_ADULTS_WORDS, RATIO_TABLES
from floor.rules.alarms import AdultHere, alarms
from tests.browser.bare_page import module
from tests.browser.test_floor_rules import AT

pytestmark = pytest.mark.browser


def random_floor(chance):
    """Who is in and what the clinic asks for, made up by chance: ages, adults, tables with whose they are, duties."""
    duties = ["lead", "coach", "first_aider", "door", "helper"]
    ages = [chance.randint(3, 18) for _ in range(chance.choice([0, 1, 5, chance.randint(1, 45)]))]
    adults = [
        (chance.random() < 0.8, chance.sample(duties, chance.choice([0, 1, 1, 1, 2])))
        for _ in range(chance.choice([0, 1, 1, 2, 3, 4, 6]))
    ]
    codes = chance.sample(sorted(RATIO_TABLES), chance.randint(1, 3))
    tables = [(RATIO_TABLES[code], chance.choice(["ours", "center", "funder"])) for code in codes]
    needs = ["lead", *(duty for duty in ("first_aider", "door") if chance.random() < 0.7)]
    return ages, adults, tables, needs


def test_the_phone_is_alarmed_by_what_alarms_the_server_on_any_floor(rules):
    """Outside check: the server's own rule, over 800 floors made up by chance."""
    chance = random.Random(20261128)
    floors = [random_floor(chance) for _ in range(800)]
    cases = [
        {
            "ages": ages,
            "adults": [{"counts": counts, "cleared": cleared} for counts, cleared in adults],
            "ratio": {
                "tables": [
                    {
                        "name": table.name,
                        "whose": whose,
                        "rows": [[row.lowest_age, row.highest_age, row.children_per_adult] for row in table.rows],
                    }
                    for table, whose in tables
                ]
            },
            "needs": needs,
        }
        for ages, adults, tables, needs in floors
    ]
    wanted = [
        [
            {"code": one.code, **one.facts}
            for one in alarms(ages, [AdultHere(counts, cleared) for counts, cleared in adults], tables, needs)
        ]
        for ages, adults, tables, needs in floors
    ]
    seen = rules.evaluate(
        f"(cases) => import('{module('alarms')}').then(({{ alarms }}) => cases.map((one) => alarms(one)))", cases
    )

    assert seen == wanted
    said = [one["code"] for found in wanted for one in found]
    assert min(said.count(code) for code in CODES) > 40, "each of them must have had its turn"
    assert wanted.count([]) > 40


CODES = ("no adult", "one adult", "few adults", "no lead", "no first aider", "no door")
DAY: dict[str, Any] = {
    "ratio": {
        "least_source": LEAST_ADULTS_SOURCE,
        "least_words": LEAST_ADULTS_WORDS,
        "tables": [{"name": "Day camp", "whose": "funder", "rows": [[4, 17, 6]]}],
    },
    "needs": [
        {"code": "lead", "noun": "lead"},
        {"code": "first_aider", "noun": "first aider"},
        {"code": "door", "noun": "door adult"},
    ],
}
OSWIN = {"who": "v1", "name": "Oswin Tarrant", "duties": ["lead"], "cleared": ["lead"], "counts": True}
PETRA = {"who": "v2", "name": "Petra Lang", "duties": ["first_aider"], "cleared": [], "counts": False}


def shouted(rules, ages, here):
    """What the alarm says of this day with these in: the heads of its reasons, what follows each, and the advice."""
    words = rules.evaluate(
        f"""async ([day, people, ages, inside]) => {{
          const {{ alarms }} = await import('{module("alarms")}');
          const {{ alarmWords }} = await import('{module("warning")}');
          const here = new Set(inside), adults = people;
          const found = alarms({{ ages, ratio: day.ratio, needs: day.needs.map((one) => one.code),
            adults: people.filter((one) => here.has(one.who)) }});
          return alarmWords(found, {{ day, adults, here }});
        }}""",
        [DAY, [OSWIN, PETRA], ages, here],
    )
    return {one["head"]: one["more"] for one in words["reasons"]}, words["advice"]


def test_the_alarm_says_each_reason_with_its_source_and_who_is_awaited(rules):
    reasons, advice = shouted(rules, [7] * 13, ["v2"])

    assert list(reasons) == [
        "No adult is signed in", "No lead is signed in", "No first aider is signed in", "3 more adults needed now",
        "No one is at the door",
    ]  # fmt: skip
    assert reasons["No lead is signed in"] == "Expected: Oswin Tarrant."
    assert reasons["No first aider is signed in"] == "Not cleared for it: Petra Lang."
    assert reasons["No one is at the door"] == "The shift is open."
    assert reasons["3 more adults needed now"] == (
        "You need 3 adults for children from age 7; no adult is here. By the funder’s table: Day camp."
    )
    assert "until Oswin Tarrant gets here" in advice and "ombine" not in advice


def test_with_one_adult_nobody_is_told_to_combine_groups_and_with_more_they_are(rules):
    reasons, advice = shouted(rules, [7] * 20, ["v1"])
    assert reasons["Only 1 adult is with the children"] == (
        "NSPCC, Recommended adult to child ratios (Sept 2023): “at least two adults present.”"
    )
    assert "3 more adults needed now" in reasons and "ombine" not in advice and "another adult" in advice
    few = [{"code": "few adults", "missing": 1, "needed": 3, "adults": 2, "youngest": 7, "tables": []}]
    with_two = rules.evaluate(
        f"""([found, day]) => import('{module("warning")}').then(({{ alarmWords }}) =>
          alarmWords(found, {{ day, adults: [], here: new Set() }}).advice)""",
        [few, DAY],
    )
    assert "combine groups until another adult gets here" in with_two


def test_an_adult_with_two_duties_stands_once_and_fills_both(rules):
    lead = {
        "who": "v1",
        "name": "Oswin",
        "duty": "lead",
        "duties": ["lead"],
        "cleared": ["lead"],
        "counts": True,
        "why_not": "",
    }
    aider = lead | {
        "duty": "first aider",
        "duties": ["first_aider"],
        "cleared": [],
        "counts": False,
        "why_not": "no certificate",
    }
    old = {"who": "v2", "name": "Petra", "duty": "coach", "counts": True, "why_not": ""}
    once = rules.evaluate(
        f"(rows) => import('{module('view')}').then(({{ eachOnce }}) => eachOnce(rows))", [lead, aider, old]
    )

    assert [(one["who"], one["duty"], one["duties"], one["cleared"], one["counts"]) for one in once] == [
        ("v1", "lead, first aider", ["lead", "first_aider"], ["lead"], True),
        ("v2", "coach", [], [], True),
    ]


@pytest.mark.parametrize(
    ("minute", "begun", "code", "left"),
    [
        (-5, {}, "before sheet", 5),
        (3, {}, "slot", 7),
        # The last slot goes on to its own end, and from there the clock goes on to the clinic's.
        (25, {}, "last slot", 15),
        (40, {}, "sheet done", 20),
        (59.5, {}, "sheet done", 0.5),
        (60, {}, "ended", 0),
        # Started so late that it would go on after the clinic: that ends all the same.
        (50, {"1": 45}, "last slot", 10),
        (65, {"1": 45}, "ended", 0),
        (55, {"1": 62}, "slot", 5),
    ],
)
def test_the_clock_never_stands_at_nothing_while_there_is_time_left(rules, minute, begun, code, left):
    at = datetime.fromisoformat(AT)
    day = {
        "clinic": {"starts_at": AT, "ends_at": (at + timedelta(minutes=60)).isoformat(), "called_off": ""},
        "sheet": {"pk": 4, "slots": [{"start": 0, "minutes": 10}, {"start": 10, "minutes": 30}]},
    }
    began = {"sheet": 4, "slots": {slot: (at + timedelta(minutes=late)).isoformat() for slot, late in begun.items()}}
    out = rules.evaluate("([day, began, minute]) => whatNow(day, began, minute)", [day, began, minute])

    assert (out["code"], out["left"]) == (code, pytest.approx(left))


@pytest.mark.parametrize(("minute", "code"), [(-5, "before"), (10, "no sheet"), (60, "ended")])
def test_without_a_run_sheet_the_clock_counts_to_the_start_and_the_end(rules, minute, code):
    end = (datetime.fromisoformat(AT) + timedelta(minutes=60)).isoformat()
    day: dict[str, Any] = {"clinic": {"starts_at": AT, "ends_at": end, "called_off": ""}, "sheet": None}
    ask = "([day, minute]) => whatNow(day, { sheet: 0, slots: {} }, minute)"

    assert rules.evaluate(ask, [day, minute])["code"] == code
    assert (
        rules.evaluate(ask, [day | {"clinic": day["clinic"] | {"called_off": "Snow"}}, minute])["code"] == "cancelled"
    )
