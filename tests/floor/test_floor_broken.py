"""A broken entry takes no other with it: whatever a phone sends, each entry has its own answer."""

import json
import re
import uuid
from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from floor.models import FloorAction, SignIn
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db
HALF = "\ud83c"


@pytest.fixture
def sent(floor, stranger):
    """Sends entries as the phone does, each a text of its own unless it is none; the answer."""
    stranger.cookies[f"floor{floor.clinic.pk}"] = floor.secret
    stranger.raise_request_exception = False

    def inner(*actions, body=None, name="sync", **more):
        texts = [one if isinstance(one, str) else written(one) for one in actions]
        said = {"phone_now": clock.now().isoformat(), "actions": texts} | more
        return stranger.post(
            reverse(f"floor-{name}", args=[floor.clinic.pk]),
            json.dumps(said) if body is None else body,
            content_type="application/json",
            headers={"X-Floor": "1"},
        )

    return inner


@pytest.fixture
def good(floor, now):
    return entry(1, "in", now, who=f"c{floor.children[0].pk}")


def written(one: object) -> str:
    """As a browser writes it: half an emoji escaped, and no other letter."""
    text = json.dumps(one, ensure_ascii=False)
    return re.sub("[\ud800-\udfff]", lambda half: f"\\u{ord(half[0]):04x}", text)


def nested(depth: int) -> str:
    return "[" * depth + "]" * depth


@pytest.mark.parametrize("depth", [5, 900, 9_000])
@pytest.mark.parametrize("what", ["id", "kind", "words", "all"])
def test_a_nested_entry_is_refused_and_the_others_are_kept(sent, good, what, depth):
    entry_of = {"id": str(uuid.uuid4()), "seq": 2, "at": clock.now().isoformat(), "kind": "note"}
    parts = {name: json.dumps(value) for name, value in entry_of.items()} | {"facts": '{"words": "a"}'}
    if what == "words":
        parts["facts"] = f'{{"words": {nested(depth)}}}'
    else:
        parts[what] = nested(depth)
    text = (
        nested(depth) if what == "all" else "{" + ", ".join(f'"{name}": {value}' for name, value in parts.items()) + "}"
    )
    answer = sent(good, text)

    assert answer.status_code == 200 and answer.json()["kept"] == [good["id"]]
    (refused,) = answer.json()["refused"]
    assert (refused["place"], refused["code"]) == (1, "too deep") and "nested" in refused["why"]


@pytest.mark.parametrize("depth", [900, 100_000])
def test_a_nested_entry_of_an_older_page_never_breaks_the_server(sent, good, depth):
    words = json.dumps(entry(2, "note", clock.now(), words="DEEP")).replace('"DEEP"', nested(depth))
    body = f'{{"phone_now": "{clock.now().isoformat()}", "actions": [{json.dumps(good)}, {words}]}}'
    answer = sent(body=body)

    assert answer.status_code in (200, 400) and (answer.status_code == 200) == (FloorAction.objects.count() == 1)
    assert answer.json()["refused"][0]["code"] == "too deep" if answer.status_code == 200 else answer.json()["why"]


@pytest.mark.parametrize(
    "body",
    [b"\xff\xfe{}", b'{"actions": "\xe9"}', b"[" * 200_000, b'{"phone_now": ' + b"[" * 900 + b"]" * 900 + b"}",
     b'{"phone_now": "\\ud800", "actions": []}', b'{"phone_now": "2026-11-28T14:00:00Z", "actions": {"0": 1}}',
     b'{"a": ' + b"9" * 5000 + b"}", b'"\\ud800"', b"null", b""],
)  # fmt: skip
def test_a_body_that_can_not_be_read_is_answered_with_a_sentence(sent, body):
    answer = sent(body=body)

    assert answer.status_code == 400 and answer.json()["why"].endswith(".")


@pytest.mark.parametrize("size", [950_000, 3_000_000])
def test_a_body_that_is_too_large_is_answered_with_a_sentence(sent, size):
    answer = sent(body=b" " * size)

    assert answer.status_code == 413 and answer.json()["why"].endswith(".")


@pytest.mark.parametrize("number", [10**30, -1, True, "7", None, [7]])
def test_a_phone_that_says_a_wrong_number_as_it_leaves_is_answered(sent, number):
    assert sent(name="leave", phone=number).status_code == 200


def test_half_an_emoji_is_written_with_the_mark_for_what_is_missing(sent, floor, good):
    note = entry(2, "note", clock.now(), words=f"ball {HALF}\0")
    answer = sent(good, note)

    assert answer.json()["refused"] == [] and answer.json()["kept"] == [good["id"], note["id"]]
    assert answer.json()["state"]["notes"] == [{"id": note["id"], "words": "ball \ufffd"}]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"id": HALF}, "unreadable"),
        ({"kind": HALF}, "unknown kind"),
        ({"kind": "in\0"}, "unknown kind"),
        ({"facts": {"words": "a", HALF: 1}}, "unexpected"),
        ({"facts": {"words": "a", "words\0": "b"}}, "unexpected"),
        ({"facts": {"words": "a", "more": "b"}}, "unexpected"),
        ({"facts": {"words": HALF * 2001}}, "too long"),
        ({"facts": {"words": "a", "padding": "x" * 800_000}}, "too big"),
        ({"facts": None}, "empty"),
        ({"facts": [["words", "a"]]}, "empty"),
        ({"seq": 0}, "unreadable"),
        ({"seq": 10**400}, "unreadable"),
        ({"seq": True}, "unreadable"),
        ({"at": "yesterday"}, "unreadable"),
        ({"at": "2026-11-28T14:00:00"}, "unreadable"),
        ({"at": "0001-01-01T00:00:00+23:59"}, "unreadable"),
        ({"at": "9999-12-31T23:59:59-23:59"}, "unreadable"),
        ({"at": 1_700_000_000}, "unreadable"),
        ({"id": 7}, "unreadable"),
    ],
)
def test_each_broken_entry_has_its_own_answer_by_its_place(sent, good, change, code):
    other = entry(3, "note", clock.now(), words="after it")
    answer = sent(good, entry(2, "note", clock.now(), words="a") | change, other)

    assert answer.status_code == 200 and answer.json()["kept"] == [good["id"], other["id"]]
    (refused,) = answer.json()["refused"]
    assert (refused["place"], refused["code"]) == (1, code) and refused["why"].endswith(".")


@pytest.mark.parametrize("text", ["", "{", "null", "7", "NaN", '"x"', "[]", "9" * 5000, '{"facts": Infinity}'])
def test_a_text_that_is_no_entry_is_refused(sent, good, text):
    answer = sent(text, good)

    assert answer.json()["kept"] == [good["id"]] and answer.json()["refused"][0]["place"] == 0


def test_an_entry_as_large_as_the_page_lets_one_be_is_taken(sent):
    long = ("\u00e9\n" * 1000)[:2000]
    facts = dict.fromkeys(("what", "first_aid", "told", "witness"), long)
    answer = sent(entry(1, "incident", clock.now(), head=False, **facts))

    assert answer.json()["refused"] == [] and len(answer.json()["kept"]) == 1


def test_the_number_of_a_kept_entry_with_something_else_is_refused_and_an_equal_repeat_is_kept(sent, good):
    other = good | {"facts": good["facts"] | {"despite": "waiver"}}
    assert sent(good).json()["kept"] == [good["id"]]
    answer = sent(good, other).json()

    assert answer["kept"] == [good["id"]]
    (refused,) = answer["refused"]
    assert (refused["id"], refused["place"]) == (good["id"], 1)
    assert refused["code"] == "another entry with this number"
    assert FloorAction.objects.get().facts == json.dumps(good["facts"])


def test_of_two_entries_of_one_number_in_one_sending_the_first_is_kept(sent, good):
    other = good | {"at": (clock.now() - timedelta(minutes=1)).isoformat()}
    answer = sent(good, other, good).json()

    assert answer["kept"] == [good["id"]] * 2 and [one["place"] for one in answer["refused"]] == [1]
    assert FloorAction.objects.count() == 1


def test_an_id_in_other_letters_is_answered_as_it_was_sent(sent, good):
    answer = sent(good | {"id": str(good["id"]).upper()}).json()

    assert answer["kept"] == [str(good["id"]).upper()]


def test_nobody_becomes_known_by_a_walk_in_that_is_refused_under_somebodys_number(floor, now):
    walk_in = entry(1, "walk-in", now, who="c999999", name="A", born="2018-01-01", guardian="B", phone="1", signed="")
    out = send(floor, walk_in, entry(2, "in", now, who="c999999"))

    assert [one.code for one in out.refused] == ["no phone number of its own", "not expected"]
    assert not SignIn.objects.exists()


def test_a_run_sheet_of_a_high_number_is_a_run_sheet(floor, now):
    assert send(floor, entry(1, "slot", now, slot=0, sheet=123_456)).refused == []
