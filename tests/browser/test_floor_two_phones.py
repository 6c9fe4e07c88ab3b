"""Two phones for a whole day without signal: one child typed twice, double taps, and what they settle when they meet.

Outside check: the server's own fold, with those who are said to be one child called by one name. Nothing may differ
once both have the other's entries and everything is settled, whichever of the two was heard first.
"""

import random
from datetime import datetime, timedelta
from typing import Any

import pytest

from floor.rules.floor_log import Action, fold
from floor.rules.twins import Person, pairs_among, word_on
from tests.browser.test_floor_rules import AT, as_the_phone_says_it
from tests.browser.test_floor_taken_back import as_answered

pytestmark = pytest.mark.browser

START = datetime.fromisoformat(AT)
NAMES = ["Juno Reed", "juno  REED", "Júno Reed", "Reed Juno", "Juno Read"]


@pytest.fixture
def page(rules):
    """What phones show and what is tapped on them, as ``two_phones.js`` says."""
    rules.evaluate("import('/beside/two_phones.js').then((two) => { Object.assign(globalThis, two); })")
    return rules


def actions(phone: str, rows: list[dict[str, Any]]) -> list[Action]:
    return [
        Action(one["id"], phone, one["seq"], datetime.fromisoformat(one["at"]), one["kind"], one["facts"])
        for one in rows
    ]


def named_once(rows: list[Action]) -> list[Action]:
    """The same entries, with those who were said to be one child under one name, as the server's books have them."""
    state = fold(rows)
    people = [Person(who, row.facts["name"], row.facts["born"], True) for who, row in state.walk_ins.items()]
    names: dict[str, str] = {}
    for one, other, _ in pairs_among(people):
        about = [row.kind for row in state.pairs if {row.facts["who"], row.facts["other"]} == {one.who, other.who}]
        if word_on(about) == "same":
            names[other.who] = names.get(one.who, one.who)
    return [
        Action(row.id, row.phone, row.seq, row.at, row.kind,
               dict(row.facts) | ({"who": names[str(row.facts["who"])]} if row.facts.get("who") in names else {}))
        for row in rows
    ]  # fmt: skip


def answered(rows: list[Action]) -> dict[str, Any]:
    """What the server answers after all ``rows``."""
    state = fold(rows)
    walked = [
        {"who": who, "child": "", "name": row.facts["name"], "age": 9, "guardian": "Ida", "born": row.facts["born"]}
        for who, row in state.walk_ins.items()
    ]
    pairs = [
        {"id": row.id, "kind": row.kind, "who": row.facts["who"], "other": row.facts["other"]} for row in state.pairs
    ]
    return as_answered(rows) | {"walk_ins": walked, "pairs": pairs, "waivers": {}}


def stays_of(state: dict[str, Any]) -> list[tuple[str, ...]]:
    """Every coming and going of every person, whatever they are called."""
    plain = ("in", "out", "pickup", "in_id", "out_id")
    return sorted(
        tuple(str(tuple(one[name] for name in plain)) for one in stays) for stays in state["stays"].values() if stays
    )


def test_600_days_of_two_phones_end_as_one_once_both_have_answered(page):
    chance = random.Random(16)
    differ, waits, twins, doubles, settled = [], [], 0, 0, 0
    for seed in range(1, 601):
        names = chance.sample(NAMES, 2) if chance.random() < 0.5 else []
        start = answered([])
        sent = {}
        for phone, name, own in zip("ab", [*names, "", ""], (2 * seed, 2 * seed + 1), strict=False):
            taps = {
                "state": start,
                "seed": own,
                "from": AT,
                "count": chance.randint(2, 9),
                "phone": phone,
                "name": name,
            }
            sent[phone] = actions(phone, page.evaluate("(day) => tapped(day)", taps))
        ends = []
        for order in ("ab", "ba"):
            log = [row for phone in order for row in sent[phone]]
            for round_ in range(5):
                later = (START + timedelta(hours=2, minutes=5 * round_)).isoformat()
                asked = {"state": answered(named_once(log)), "seed": seed, "from": later, "round": round_}
                more = page.evaluate("(day) => settled(day)", asked)
                if not more:
                    break
                settled += len(more)
                log += actions("a", more)
            books = as_the_phone_says_it(fold(named_once(log)))
            ends.append(stays_of(books))
            # Both phones have heard everything: of the books, and before that of the log as it was said.
            answer, before = (
                page.evaluate("(state) => seen(state, [])", answered(rows)) for rows in (named_once(log), log)
            )
            if stays_of(answer["state"]) != stays_of(books) or answer["state"]["conflicts"] or answer["pairs"]:
                differ.append((seed, order))
            if stays_of(before["state"]) != stays_of(books):
                waits.append(seed)
        if ends[0] != ends[1]:
            differ.append((seed, "orders"))
        twins += len(names) == 2
        doubles += sum(row.kind == "in" for rows in sent.values() for row in rows)
    assert twins > 200 and doubles > 1500 and settled > 300, (twins, doubles, settled)
    assert differ == []
    # Two lines from which the same going out was tapped in one moment, and one of the two undone: that both are meant
    # is known to the books alone, so the phone may have to wait for its answer.
    assert len(set(waits)) <= 6, waits
