"""The floor page's own rules, run in Chromium and held against those of the server."""

import random
from pathlib import Path

import pytest
from django.conf import settings

from clinics.rules.adults_now import adults_now
from clinics.rules.supervision import RATIO_TABLES

pytestmark = pytest.mark.browser

RULES = Path(settings.BASE_DIR) / "config/static/config/floor-rules.js"
AT = "2026-10-03T13:30:00+00:00"
EMPTY = {
    "stays": {}, "walk_ins": [], "scores": [], "incidents": [], "slots": {}, "notes": [], "minutes": {},
    "conflicts": [], "closed_at": None,
}  # fmt: skip


@pytest.fixture
def rules(browser):
    context = browser.new_context()
    page = context.new_page()
    page.add_script_tag(content=RULES.read_text(encoding="utf-8"))
    yield page
    context.close()


def tapped(seq, kind, **facts):
    return {"id": f"id-{seq}", "seq": seq, "at": AT, "kind": kind, "facts": facts}


def test_the_phone_asks_for_the_same_adults_as_the_server_for_any_children_and_tables(rules):
    chance = random.Random(20261003)
    codes = sorted(RATIO_TABLES)
    sets = [[], [0], [17], [18], [25]]
    sets += [[chance.randint(0, 20) for _ in range(chance.randint(1, 60))] for _ in range(600)]
    cases, wanted = [], []
    for ages in sets:
        tables = [RATIO_TABLES[code] for code in chance.sample(codes, chance.randint(1, min(3, len(codes))))]
        rows = [
            {"rows": [[row.lowest_age, row.highest_age, row.children_per_adult] for row in table.rows]}
            for table in tables
        ]
        cases.append([ages, {"tables": rows}])
        wanted.append(adults_now(ages, tables))

    assert rules.evaluate("(cases) => cases.map(([ages, ratio]) => adultsNeeded(ages, ratio))", cases) == wanted
    assert len(set(wanted)) > 5, "the sets must differ enough to tell a wrong rule"


def test_unsent_entries_lie_over_what_the_server_knows_and_leave_it_as_it_was(rules):
    state = EMPTY | {
        "stays": {"c1": [{"in": AT, "out": None, "collector": "", "in_id": "s1", "out_id": None}]},
        "conflicts": [{"code": "two collectors", "who": "c9", "actions": ["x", "y"], "words": "?"}],
    }
    pending = [
        tapped(3, "out", who="c2", collector="Bram"),
        tapped(1, "in", who="c2"),
        tapped(2, "in", who="c1"),
        tapped(4, "score", who="A", what="par zero", made=2, tried=5),
        tapped(5, "score", who="A", what="par zero", made=1, tried=1),
        tapped(6, "undo", of="id-5"),
        tapped(7, "undo", of="x"),
        tapped(8, "in", who="c3"),
    ]
    out, after = rules.evaluate("([state, pending]) => [layOver(state, pending), state]", [state, pending])

    assert after == state
    assert len(out["stays"]["c1"]) == 1, "in while inside says nothing new"
    assert out["stays"]["c2"][0]["out_id"] == "id-3" and out["stays"]["c2"][0]["collector"] == "Bram"
    assert [one["id"] for one in out["scores"]] == ["id-4"] and out["conflicts"] == []
    assert sorted(rules.evaluate("(state) => inside(state)", out)) == ["c1", "c3"]


def test_taking_back_an_entry_that_the_server_has_takes_it_off_the_page_at_once(rules):
    stay = {"in": AT, "out": AT, "collector": "Bram", "in_id": "s1", "out_id": "s2"}
    undo = "([state, of]) => layOver(state, [{id: 'u', seq: 1, at: '', kind: 'undo', facts: {of}}]).stays.c1"
    state = EMPTY | {"stays": {"c1": [stay]}}

    assert rules.evaluate(undo, [state, "s2"]) == [stay | {"out": None, "out_id": None, "collector": ""}]
    assert rules.evaluate(undo, [state, "s1"]) == []


@pytest.mark.parametrize(("day", "years"), [("2026-10-02", 7), ("2026-10-03", 8), ("2018-01-01", 0)])
def test_whole_years_turn_on_the_birthday(rules, day, years):
    assert rules.evaluate("(day) => yearsOn('2018-10-03', day)", day) == years
