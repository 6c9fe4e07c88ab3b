"""Five thousand entries, good ones among every shape that breaks readers, through the address that phones send to."""

import json
import random
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from core import clock
from floor.models import FloorAction
from floor.queries.log import floor_state
from floor.queries.page_state import state_data
from tests.floor_days import entry

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

Kinds = list[tuple[str, dict[str, Any]]]
HOW_MANY, AT_ONCE = 5_000, 200
HALF, NUL, LONG = "\ud83c", "\0", "x" * 21_000
# What can stand where something else should, as JSON.
WILD = [
    "null", "true", "false", "0", "-1", "1.5", "3.0", "1e999", "NaN", "Infinity", "-Infinity", "9" * 400, "9" * 5000,
    '""', '"x"', '"\\ud83c"', '"\\udfff\\ud800"', '"\\u0000"', '"c999999"', '"w-"', '"2026-11-28"', "[]", "{}",
    "[null]",
    '{"a": {"b": {"c": {"d": {}}}}}', "[" * 5 + "]" * 5, "[" * 900 + "]" * 900, "[" * 9_000 + "]" * 9_000,
    '{"a":' * 900 + "1" + "}" * 900, json.dumps("x" * 2001), json.dumps(LONG), '"0001-01-01T00:00:00+23:59"',
    '"9999-12-31T23:59:59-23:59"', "2147483648", "9223372036854775808",
    '"' + "\\ud83c" * 500 + '"', '"\u202e\u0301\ufeff"',
]  # fmt: skip
NAMES = [
    "who",
    "other",
    "words",
    "facts",
    "id",
    "__proto__",
    HALF,
    NUL,
    "",
    "who\0",
    "x" * 3000,
    "pickup",
    "born",
    "kind",
]


class Shapes:
    """Makes entries: `good` ones that must be kept, and others. Always the same for one seed."""

    def __init__(self, floor: Any, seed: int) -> None:
        self.luck = random.Random(seed)
        self.now = clock.now() - timedelta(hours=1)
        self.whos = [f"c{child.pk}" for child in floor.children] + [f"v{floor.coach.volunteer_id}"]
        self.seq = 0
        self.kept: list[dict[str, Any]] = []
        self.broken: list[Callable[[], str]] = [
            self.another_type, self.wild_part, self.no_such_fact, self.without_a_part, self.same_number_other_facts,
            self.no_entry, self.cut_off, self.other_kind, self.same_count, self.nobody, self.not_meant,
        ]  # fmt: skip

    def good(self) -> dict[str, Any]:
        luck, who = self.luck, self.luck.choice(self.whos)
        # Half a letter and a zero byte in a text are nothing to refuse.
        text = luck.choice(["Bram", "", f"ball {HALF}", f"a{NUL}b", "🏀" * 50, '"\\\n' * 600, "x" * 2000])
        kinds: Kinds = [
            ("in", {"who": who}),
            ("in", {"who": who, "despite": "waiver,allergies"}),
            ("out", {"who": who, "pickup": text[:120]}),
            ("note", {"words": text}),
            ("close", {}),
            ("score", {"who": who, "what": text[:40], "made": 1, "tried": 3, "level": None, "form": "held"}),
            ("score", {"who": "everybody", "what": "par", "made": 9, "tried": 9, "par": -9}),
            ("incident", {"what": text, "first_aid": "", "told": "", "witness": text, "head": True, "who": ""}),
            ("slot", {"slot": luck.randrange(9), "sheet": 40_000}),
            ("undo", {"of": self.some_id()}),
            ("hours", {"who": self.whos[-1], "minutes": luck.randrange(600)}),
            ("apart", {"who": self.whos[0], "other": self.whos[1]}),
            (
                "waiver",
                {
                    "who": self.whos[0],
                    "how": "paper",
                    "guardian": text[:120],
                    "signed": "",
                    "language": "en",
                    "version": 1,
                },
            ),
        ]
        kind, facts = luck.choice(kinds)
        if luck.random() < 0.01:
            kind, facts = "walk-in", {"who": f"w-{self.fresh_id()}", "name": f"Late {text[:80]}", "born": "2018-03-01",
                                      "guardian": text[:120], "phone": "555-0155", "signed": text[:120]}  # fmt: skip
        return self.numbered(entry(0, kind, self.now, **facts))

    def numbered(self, one: dict[str, Any]) -> dict[str, Any]:
        self.seq += 1
        return one | {"id": self.fresh_id(), "seq": self.seq}

    def fresh_id(self) -> str:
        return str(uuid.UUID(int=self.luck.getrandbits(128), version=4))

    def some_id(self) -> str:
        return self.luck.choice(self.kept)["id"] if self.kept else self.fresh_id()

    def text_of(self, one: dict[str, Any], wild: str | None = None) -> str:
        text = json.dumps(one, ensure_ascii=self.luck.random() < 0.5)
        return text if wild is None else text.replace('"WILD"', wild, 1)

    def another_type(self) -> str:
        """A fact that must be there is something else; none of these is a text, a number or a yes in place."""
        luck = self.luck
        kinds: Kinds = [
            ("in", {"who": "WILD"}),
            ("hours", {"who": self.whos[-1], "minutes": "WILD"}),
            ("slot", {"slot": "WILD"}),
            ("score", {"who": "everybody", "what": "x", "made": "WILD", "tried": 3}),
            ("same", {"who": self.whos[0], "other": "WILD"}),
        ]
        kind, facts = luck.choice(kinds)
        never = [one for one in WILD if one not in ("0", "3.0")]
        return self.text_of(self.numbered(entry(0, kind, self.now, **facts)), luck.choice(never))

    def wild_part(self) -> str:
        part = self.luck.choice(["id", "seq", "at", "facts"])
        never = [one for one in WILD if one not in ("0", "{}") and not (part == "seq" and one.isdigit())]
        return self.text_of(
            self.numbered(entry(0, "note", self.now, words="a")) | {part: "WILD"}, self.luck.choice(never)
        )

    def no_such_fact(self) -> str:
        name = self.luck.choice(NAMES)
        name = f"{name} " if name == "words" else name
        one = self.numbered(entry(0, "note", self.now, words="a"))
        one["facts"][name] = "WILD"
        return self.text_of(one, self.luck.choice(WILD))

    def without_a_part(self) -> str:
        one = self.numbered(self.good())
        del one[self.luck.choice(["id", "seq", "at", "kind", "facts"])]
        return self.text_of(one)

    def same_number_other_facts(self) -> str:
        if not self.kept:
            return self.no_entry()
        one = self.luck.choice(self.kept)
        later = {"at": (self.now + timedelta(seconds=self.luck.randrange(1, 999))).isoformat()}
        return self.text_of(one | later)

    def no_entry(self) -> str:
        return self.luck.choice([*WILD, "", "{", '{"id"', "\ufeff{}", HALF, NUL, "[" * 100_000])

    def cut_off(self) -> str:
        text = self.text_of(self.numbered(entry(0, "note", self.now, words="a note")))
        return text[: self.luck.randrange(len(text))]

    def other_kind(self) -> str:
        one = self.numbered(entry(0, "note", self.now, words="a"))
        return self.text_of(
            one | {"kind": self.luck.choice(["dance", "IN", "in ", "in\0", HALF, "", "__class__", "x" * 9000])}
        )

    def same_count(self) -> str:
        """Another entry under the count of one that was kept."""
        if not self.kept:
            return self.no_entry()
        return self.text_of(
            entry(0, "note", self.now, words="b") | {"seq": self.luck.choice(self.kept)["seq"], "id": self.fresh_id()}
        )

    def not_meant(self) -> str:
        walk_in = {"who": "w-1", "name": "A", "born": "2018-03-01", "guardian": "B", "phone": "1", "signed": ""}
        wrong: list[dict[str, Any]] = [
            {"who": "c999999"},
            {"born": "31 May"},
            {"born": "20180301"},
            {"born": "1999-12-31"},
            {"photo": 1},
        ]
        kinds: Kinds = [
            ("score", {"who": "everybody", "what": "x", "made": 4, "tried": 3}),
            *(("walk-in", walk_in | one) for one in wrong),
        ]
        kind, facts = self.luck.choice(kinds)
        return self.text_of(self.numbered(entry(0, kind, self.now, **facts)))

    def nobody(self) -> str:
        who = self.luck.choice(["c999999", "v0", "w-nobody", "c", "", "c1\n", "c١", "w-\n"])
        return self.text_of(self.numbered(entry(0, "in", self.now, who=who)))


@pytest.mark.parametrize("seed", [11])
def test_of_five_thousand_entries_every_good_one_is_kept_once_and_every_other_is_answered(floor, stranger, seed):
    shapes = Shapes(floor, seed)
    luck = shapes.luck
    stranger.cookies[f"floor{floor.clinic.pk}"] = floor.secret
    stranger.raise_request_exception = False
    address = reverse("floor-sync", args=[floor.clinic.pk])
    statuses, codes, wanted = [], set(), []

    def send(actions: str) -> Any:
        text = f'{{"phone_now": "{clock.now().isoformat()}", "actions": {actions}}}'
        # Half a letter in a body is not UTF-8 any more.
        body = text.encode("utf-8", "surrogatepass")
        answer = stranger.post(address, body, content_type="application/json", headers={"X-Floor": "1"})
        statuses.append(answer.status_code)
        return answer.json()

    # As objects, which an older page sends, and as what is no list of entries: a sentence, or an answer to each.
    for _ in range(100):
        good, broken = shapes.good(), luck.choice(shapes.broken)()
        out = send(f"[{shapes.text_of(good)}, {luck.choice([broken, *WILD])}]")
        assert out.get("why") or (out["kept"] == [good["id"]] and len(out["refused"]) == 1)
        if "kept" in out:
            shapes.kept.append(good)
        out = send(luck.choice(WILD))
        assert out.get("why") or out["kept"] == []
    assert set(statuses) == {200, 400}
    wanted += [one["id"] for one in shapes.kept]
    statuses.clear()

    for _ in range(HOW_MANY // AT_ONCE):
        batch: list[tuple[str, str | None]] = []
        for _ in range(AT_ONCE):
            if luck.random() < 0.5:
                batch.append((luck.choice(shapes.broken)(), None))
            elif shapes.kept and luck.random() < 0.1:
                # Its answer got lost.
                again = luck.choice(shapes.kept)
                batch.append((shapes.text_of(again), again["id"]))
            else:
                one = shapes.good()
                shapes.kept.append(one)
                batch.append((shapes.text_of(one), one["id"]))
        out = send(json.dumps([text for text, _ in batch]))

        assert out["kept"] == [number for _, number in batch if number]
        assert [one["place"] for one in out["refused"]] == [at for at, (_, number) in enumerate(batch) if not number]
        assert all(one["why"] and one["code"] for one in out["refused"])
        codes |= {one["code"] for one in out["refused"]}
        wanted += [number for _, number in batch if number]

    here = [str(pk) for pk in FloorAction.objects.values_list("pk", flat=True)]
    assert sorted(here) == sorted(one["id"] for one in shapes.kept) and set(here) == set(wanted)
    assert set(statuses) == {200} and len(shapes.kept) > 2_000
    assert codes == {
        "not an entry", "too big", "too deep", "unreadable", "empty", "unknown kind", "missing", "unexpected",
        "too long", "out of range", "more made than tried", "another entry with this number", "not expected",
        "no phone number of its own", "unreadable birth date", "too old",
    }  # fmt: skip
    # The day can be shown, and what is kept can be read.
    assert state_data(floor.clinic, floor_state(floor.clinic))["closed_at"]
