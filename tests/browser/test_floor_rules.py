"""The floor page's own rules, run in Chromium and held against those of the server."""

import random
from datetime import datetime, timedelta
from typing import Any

import pytest

from clinics.rules.supervision import RATIO_TABLES
from floor.rules.adults_now import adults_now
from floor.rules.floor_log import Action, fold
from floor.rules.incidents import sort_of
from floor.rules.scoring import Level, ladder, par_zero

pytestmark = pytest.mark.browser

AT = "2026-10-03T13:30:00+00:00"
EMPTY: dict[str, Any] = {
    "stays": {}, "walk_ins": [], "scores": [], "incidents": [], "sheet": 0, "slots": {}, "notes": [], "minutes": {},
    "conflicts": [], "closed_at": None, "said": [],
}  # fmt: skip


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
        "stays": {"c1": [{"in": AT, "out": None, "pickup": "", "in_id": "s1", "out_id": None}]},
        "conflicts": [{"code": "two pickup people", "who": "c9", "actions": ["x", "y"], "words": "?"}],
    }
    pending = [
        tapped(3, "out", who="c2", pickup="Bram"),
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
    assert out["stays"]["c2"][0]["out_id"] == "id-3" and out["stays"]["c2"][0]["pickup"] == "Bram"
    assert [one["id"] for one in out["scores"]] == ["id-4"] and out["conflicts"] == []
    assert sorted(rules.evaluate("(state) => inside(state)", out)) == ["c1", "c3"]


def test_taking_back_an_entry_that_the_server_has_takes_it_off_the_page_at_once(rules):
    stay = {"in": AT, "out": AT, "pickup": "Bram", "in_id": "s1", "out_id": "s2"}
    undo = "([state, of]) => layOver(state, [{id: 'u', seq: 1, at: '', kind: 'undo', facts: {of}}]).stays.c1"
    state = EMPTY | {"stays": {"c1": [stay]}}

    assert rules.evaluate(undo, [state, "s2"]) == [stay | {"out": None, "out_id": None, "pickup": ""}]
    assert rules.evaluate(undo, [state, "s1"]) == []


@pytest.mark.parametrize(("day", "years"), [("2026-10-02", 7), ("2026-10-03", 8), ("2018-01-01", 0)])
def test_whole_years_turn_on_the_birthday(rules, day, years):
    assert rules.evaluate("(day) => yearsOn('2018-10-03', day)", day) == years


def random_day(chance):
    """Entries of one phone as its page can make them: nobody goes out who is not in."""
    rows: list[dict[str, Any]] = []
    inside: set[str] = set()
    minute = 0
    for seq in range(1, chance.randint(2, 40)):
        minute += chance.randint(0, 6)
        kind = chance.choice(
            ["in", "in", "in", "out", "out", "score", "note", "hours", "slot", "incident", "undo", "close"]
        )
        facts: dict[str, Any] = {"who": f"c{chance.randint(1, 6)}"}
        if kind == "out":
            if not inside:
                continue
            facts = {"who": chance.choice(sorted(inside)), "pickup": chance.choice(["Bram", "Petra"])}
            inside.discard(facts["who"])
        elif kind == "in":
            inside.add(facts["who"])
        elif kind == "score":
            facts |= {"what": "shots", "made": 1, "tried": 2, "level": None}
        elif kind == "note":
            facts = {"words": f"note {seq}"}
        elif kind == "hours":
            facts |= {"minutes": chance.randint(0, 200)}
        elif kind == "slot":
            facts = {"slot": chance.randint(0, 3), "sheet": chance.choice([4, 4, 7])}
        elif kind == "incident":
            facts |= {"what": "bump", "first_aid": "", "told": "", "witness": ""}
            facts |= chance.choice(
                [
                    {"head": True},
                    {"head": False},
                    {"head": True, "sort": "head"},
                    {"head": False, "sort": "seizure"},
                    {"head": False, "sort": "other"},
                    {"head": False, "sort": "of a later page"},
                    {"head": True, "sort": "other"},
                ]
            )
        elif kind == "close":
            facts = {}
        elif kind == "undo":
            others = [row for row in rows if row["kind"] not in ("in", "out", "undo")]
            if not others:
                continue
            facts = {"of": chance.choice(others)["id"]}
        at = (datetime.fromisoformat(AT) + timedelta(minutes=minute)).isoformat()
        rows.append({"id": f"id-{seq:02}", "seq": seq, "at": at, "kind": kind, "facts": facts})
    return rows


def as_the_phone_says_it(state):
    return {
        "stays": {
            who: [
                {"in": one.in_at.isoformat(), "out": one.out_at.isoformat() if one.out_at else None,
                 "pickup": one.pickup, "in_id": one.in_by, "out_id": one.out_by or None}
                for one in stays
            ]
            for who, stays in state.stays.items() if stays
        },
        "scores": [row.id for row in state.scores],
        "incidents": [[row.id, sort_of(row.facts), sort_of(row.facts) == "head"] for row in state.incidents],
        "notes": [row.id for row in state.notes],
        "sheet": state.sheet,
        "slots": {str(slot): at.isoformat() for slot, at in state.slots.items()},
        "minutes": state.minutes,
        "closed_at": state.closed_at.isoformat() if state.closed_at else None,
    }  # fmt: skip


def test_one_phone_sees_what_the_server_will_make_of_its_entries_for_any_day(rules):
    """Outside check: the server's own fold, over 300 days of taps made up by chance."""
    chance = random.Random(9)
    days = [random_day(chance) for _ in range(300)]
    seen = rules.evaluate(
        """([state, days]) => days.map((rows) => {
          const out = layOver(state, [...rows].reverse());
          return { ...out, scores: out.scores.map((one) => one.id),
            incidents: out.incidents.map((one) => [one.id, one.sort, one.head]),
            notes: out.notes.map((one) => one.id) };
        })""",
        [EMPTY, days],
    )
    for rows, out in zip(days, seen, strict=True):
        actions = [
            Action(one["id"], "1", one["seq"], datetime.fromisoformat(one["at"]), one["kind"], one["facts"])
            for one in rows
        ]
        wanted = as_the_phone_says_it(fold(actions))
        assert {name: out[name] for name in wanted} == wanted
    assert sum(len(rows) for rows in days) > 3000


def test_what_a_phone_half_sent_looks_as_if_nothing_or_all_had_arrived(rules):
    chance = random.Random(11)
    days = [random_day(chance) for _ in range(100)]
    halves = rules.evaluate(
        """([state, days]) => days.map((rows) => {
          const half = rows.slice(0, rows.length >> 1), rest = rows.slice(rows.length >> 1);
          const both = layOver(layOver(state, half), rest), all = layOver(state, rows);
          return [both, all];
        })""",
        [EMPTY, days],
    )
    assert all(both == everything for both, everything in halves)


def test_par_zero_is_counted_as_the_server_counts_it(rules):
    chance = random.Random(3)
    rounds = [[chance.choice(["clean", "rim", "miss"]) for _ in range(chance.randint(0, 18))] for _ in range(200)]

    assert rules.evaluate("(rounds) => rounds.map(parZero)", rounds) == [par_zero(shots) for shots in rounds]


def test_the_ladder_steps_back_after_three_makes_as_the_server_does(rules):
    chance = random.Random(4)
    for _ in range(100):
        hits = [chance.random() < 0.6 for _ in range(chance.randint(1, 30))]
        scores, rest = rules.evaluate(
            """(hits) => {
              let draft = { level: 1, made: 0, tried: 0 };
              const scores = [];
              for (const hit of hits) {
                const step = ladderShot(draft, hit);
                draft = step.draft;
                if (step.score) scores.push(step.score);
              }
              return [scores, draft];
            }""",
            hits,
        )
        levels = [Level(one["tried"], one["made"]) for one in scores]
        if rest["tried"]:
            levels.append(Level(rest["tried"], rest["made"]))
        out = ladder(levels)
        assert out.done == len(scores) == rest["level"] - 1 and sum(out.shots) == len(hits)
        assert all(one["made"] == 3 and one["level"] == number for number, one in enumerate(scores, 1))


def test_an_age_without_a_row_is_counted_with_the_nearest_and_said(rules):
    tables = [{"name": "the camps’ table", "rows": [[4, 5, 6], [6, 8, 8]]}]
    said = rules.evaluate("(ratio) => countedAs([3, 7, 12, 12], ratio)", {"tables": tables})

    assert [(one["age"], one["as"], one["table"]) for one in said] == [
        (3, 4, "the camps’ table"),
        (12, 8, "the camps’ table"),
    ]


@pytest.mark.parametrize(
    ("one", "two", "same"),
    [("Rafe Vale", " rafe  VALE ", True), ("José Núñez", "Jose Nunez", True), ("Rafe Vale", "Rafe Dale", False)],
)
def test_names_are_the_same_but_for_case_spaces_and_accents(rules, one, two, same):
    assert rules.evaluate("([one, two]) => sameName(one, two)", [one, two]) is same


@pytest.mark.parametrize(
    ("minute", "begun", "now", "next_", "left"),
    [
        (-5, {}, -1, 0, 5),
        (3, {}, 0, 1, 7),
        (11, {}, 1, 2, 19),
        (31, {}, 2, -1, 9),
        # Started five minutes late: all that follows moves.
        (16, {"1": 15}, 1, 2, 19),
        # Started early.
        (9, {"1": 8}, 1, 2, 19),
    ],
)
def test_where_the_run_sheet_is(rules, minute, begun, now, next_, left):
    slots = [{"start": 0, "minutes": 10}, {"start": 10, "minutes": 20}, {"start": 30, "minutes": 10}]
    out = rules.evaluate("([slots, begun, minute]) => slotAt(slots, begun, minute)", [slots, begun, minute])

    assert (out["now"], out["next"], out["left"]) == (now, next_, left)


def test_a_sending_is_never_more_than_the_server_takes(rules):
    counts = rules.evaluate(
        """() => [[], Array(5).fill({a: 1}), Array(500).fill({a: 1}), Array(9).fill('x'.repeat(100000)),
          ['x'.repeat(400000)], ['"'.repeat(30000), ...Array(9).fill(1)]]
          .map((pending) => oneSending(pending).length)"""
    )
    assert counts == [0, 5, 200, 2, 1, 10]
    assert rules.evaluate("() => oneSending(Array(9).fill({ a: 1 }), 4)") == ['{"a":1}'] * 4


def test_a_walk_in_that_the_books_know_stands_at_the_door_once(rules):
    child = {
        "who": "c9",
        "name": "Juno Reed",
        "given": "Juno",
        "age": 7,
        "allergies": "bees",
        "must_not": [],
        "state": "held",
    }
    walk = {"who": "w-1", "child": "c9", "name": "Juno Reed", "age": 7, "guardian": "Orla"}
    other = walk | {"who": "w-2", "child": ""}
    rows = rules.evaluate("([children, walks]) => everybody(children, walks)", [[child], [walk, other]])

    assert [(one["who"], one["allergies"]) for one in rows] == [("w-1", "bees"), ("w-2", "")]
    # Another child of the same name is another child; what is not known of it yet is said.
    assert rows[1]["unread"] is True and "unread" not in rows[0]
