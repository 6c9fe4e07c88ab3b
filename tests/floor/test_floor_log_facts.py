"""What a phone may write down, and what is wrong with the rest."""

import json

import pytest

from floor.rules.entries import FACTS, LONGEST_ENTRY, Entry, Trouble, check_action, plain, read_entry
from floor.words import entry_trouble


def test_what_a_phone_can_not_mean_is_named() -> None:
    assert check_action("in", {"who": "c1"}) is None
    assert check_action("dance", {}) == Trouble("unknown kind", "dance")
    assert check_action("out", {"who": "c1"}) == Trouble("missing", "out", "pickup")
    assert check_action("score", {"who": "c1", "what": "ladder", "made": 4, "tried": 3}) == Trouble(
        "more made than tried", "score"
    )
    assert check_action("note", {"words": "x" * 3000}) == Trouble("too long", "note", "words")
    assert check_action("slot", {"slot": True}) == Trouble("missing", "slot", "slot")
    assert check_action("slot", {}) == Trouble("missing", "slot", "slot")
    assert check_action("x" * 41, {}) == Trouble("unknown kind", "x" * 40)


@pytest.mark.parametrize(
    ("kind", "facts"),
    [
        ("hours", {"who": "v1", "minutes": 0}),
        ("hours", {"who": "v1", "minutes": 10_000}),
        ("score", {"who": "c1", "what": "ladder", "made": 3, "tried": 3}),
        ("note", {"words": "x" * 2000}),
        ("incident", {"what": "w", "first_aid": "f", "told": "t", "witness": "w", "head": True}),
        ("close", {}),
    ],
)
def test_facts_at_their_limits_are_taken(kind: str, facts: dict[str, object]) -> None:
    assert check_action(kind, facts) is None


@pytest.mark.parametrize(
    ("kind", "facts", "code"),
    [
        ("hours", {"who": "v1", "minutes": -1}, "out of range"),
        ("hours", {"who": "v1", "minutes": 10_001}, "out of range"),
        ("note", {"words": "x" * 2001}, "too long"),
        (
            "incident",
            {"what": "w", "first_aid": "f", "told": "t", "witness": "w", "head": 1},
            "missing",
        ),
    ],
)
def test_facts_beyond_their_limits_are_refused(kind: str, facts: dict[str, object], code: str) -> None:
    trouble = check_action(kind, facts)

    assert trouble is not None and trouble.code == code


WALK_IN = {"who": "w-1", "name": "Juno Reed", "born": "2017-05-31", "guardian": "Marla Reed", "phone": "", "signed": ""}


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({}, None),
        ({"born": "2000-01-01"}, None),
        ({"born": "1999-12-31"}, "too old"),
        ({"born": "31 May"}, "unreadable birth date"),
        ({"who": "c7"}, "no phone number of its own"),
    ],
)
def test_a_child_who_walks_in_is_written_with_a_number_and_a_day_of_birth(
    change: dict[str, str], code: str | None
) -> None:
    trouble = check_action("walk-in", WALK_IN | change)

    assert (trouble and trouble.code) == code


def test_each_trouble_has_a_sentence_with_its_fact_in_it() -> None:
    assert entry_trouble(Trouble("too long", "note", "words")) == "words is over 2,000 characters. Shorten it."
    assert "dance" in entry_trouble(Trouble("unknown kind", "dance"))
    assert "no ID from the phone" in entry_trouble(Trouble("no phone number of its own", "walk-in"))


# Every kind with all that it may carry.
WHOLE: dict[str, dict[str, object]] = {
    "in": {"who": "c1", "despite": "waiver,allergies"},
    "out": {"who": "c1", "pickup": "Bram", "near": "Brom", "reason": "Photo ID checked"},
    "walk-in": WALK_IN | {
        "allergies": "", "no_allergies": True, "care_notes": "", "pickup": "", "photo": False, "language": "es",
        "version": 3, "paper": True, "despite": "",
    },
    "waiver": {"who": "c1", "how": "phone", "guardian": "B", "signed": "B", "language": "en", "version": 1},
    "undo": {"of": "3f3c9d1e-0000-4000-8000-000000000000"},
    "score": {"who": "A", "what": "x", "made": 1, "tried": 2, "level": None, "form": "held", "par": -1},
    "incident": {"what": "", "first_aid": "", "told": "", "witness": "", "head": False, "who": "", "sort": "head"},
    "slot": {"slot": 0, "sheet": 2**31 - 1},
    "note": {"words": ""},
    "hours": {"who": "v1", "minutes": 0},
    "close": {},
    "same": {"who": "c1", "other": "w-1"},
    "apart": {"who": "c1", "other": "w-1"},
}  # fmt: skip
MAY_BE_LEFT_OUT = {
    "in": {"despite"}, "out": {"near", "reason"}, "score": {"level", "form", "par"}, "incident": {"who", "sort"},
    "slot": {"sheet"}, "walk-in": {*WHOLE["walk-in"]} - {*WALK_IN},
}  # fmt: skip


@pytest.mark.parametrize("kind", FACTS)
def test_each_kind_is_taken_with_all_its_facts_and_without_those_that_may_be_left_out_and_no_others(kind: str) -> None:
    facts = WHOLE[kind]
    assert check_action(kind, facts) is None
    for name in facts:
        left = {other: value for other, value in facts.items() if other != name}
        wanted = None if name in MAY_BE_LEFT_OUT.get(kind, set()) else Trouble("missing", kind, name)
        assert check_action(kind, left) == wanted
        assert check_action(kind, facts | {name: [facts[name]]}) == Trouble("missing", kind, name)
    assert check_action(kind, facts | {"mood": "good"}) == Trouble("unexpected", kind, "mood")


@pytest.mark.parametrize(
    ("kind", "change", "trouble"),
    [
        ("in", {"who": "c" * 61}, Trouble("too long", "in", "who", 60)),
        ("out", {"pickup": "x" * 201}, Trouble("too long", "out", "pickup", 200)),
        ("waiver", {"language": "x" * 41}, Trouble("too long", "waiver", "language", 40)),
        ("slot", {"sheet": 2**31}, Trouble("out of range", "slot", "sheet")),
        ("score", {"par": -10_001}, Trouble("out of range", "score", "par")),
        ("score", {"made": 1.0}, Trouble("missing", "score", "made")),
        ("score", {"made": "1"}, Trouble("missing", "score", "made")),
        ("in", {"despite": None}, Trouble("missing", "in", "despite")),
        ("walk-in", {"born": "2018-W22-4"}, Trouble("unreadable birth date", "walk-in")),
    ],
)
def test_each_fact_has_its_type_and_its_limit(kind: str, change: dict[str, object], trouble: Trouble) -> None:
    assert check_action(kind, WHOLE[kind] | change) == trouble


SENT = {
    "id": "3F3C9D1E-0000-4000-8000-000000000000", "seq": 1, "at": "2026-12-03T19:30:00.000Z", "kind": "note",
    "facts": {"words": "ball \ud83c"}, "newer": {"pages": "may say more"},
}  # fmt: skip


@pytest.mark.parametrize("said", [SENT, json.dumps(SENT)])
def test_an_entry_is_read_as_a_text_or_as_an_object(said: object) -> None:
    number, entry = read_entry(said)

    assert isinstance(entry, Entry) and number == SENT["id"] and str(entry.id) == number.lower()
    assert entry.facts == {"words": "ball \ufffd"} and entry.at.isoformat() == "2026-12-03T19:30:00+00:00"


def test_an_entry_may_be_so_long_and_no_longer() -> None:
    short = json.dumps(SENT)
    assert isinstance(read_entry(short + " " * (LONGEST_ENTRY - len(short)))[1], Entry)
    assert read_entry(short + " " * (LONGEST_ENTRY - len(short) + 1)) == ("", Trouble("too big", most=LONGEST_ENTRY))
    assert "20,000 characters" in entry_trouble(Trouble("too big", most=LONGEST_ENTRY))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("a", "a"), ("é\0", "é"), ("\ud83c", "\ufffd"), ("\ud83c\udfc0", "\U0001f3c0"), ("\udfc0\ud83c", "\ufffd\ufffd")],
)
def test_half_a_letter_is_replaced_and_two_halves_are_one(text: str, wanted: str) -> None:
    assert plain(text) == wanted and plain([text]) == [text]


def test_every_code_has_a_sentence() -> None:
    codes = [
        "not an entry", "too big", "too deep", "unreadable", "empty", "unknown kind", "missing", "unexpected",
        "too long", "out of range", "no phone number of its own", "unreadable birth date", "too old",
        "more made than tried", "another entry with this number", "not expected",
    ]  # fmt: skip
    assert len({entry_trouble(Trouble(code, "note", "words")) for code in codes}) == len(codes)
