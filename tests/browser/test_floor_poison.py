"""Entries that can't be accepted, or not even sent, among good ones on a phone that is used by thumb."""

import json
import uuid

import pytest
from playwright.sync_api import expect

from core import clock
from floor.models import FloorAction
from tests.browser.floor_page import (
    all_sent,
    at_part,
    find_signal,
    in_store,
    line,
    load,
    lose_signal,
    soon,
)

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

# Puts texts into the log as the page would keep them, whatever they say.
PUT = """
  const lock = async (text) => {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    return { iv, data: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, new TextEncoder().encode(text)) };
  };
  for (const [id, text] of ENTRIES) {
    const locked = await lock(text);
    const log = rows("log", "readwrite");
    log.put(locked, id);
    await new Promise((yes) => { log.transaction.oncomplete = yes; });
  }
"""
LEFT = "return [(await settled(rows('log').getAll())).length, (await settled(rows('refused').getAll())).length];"


@pytest.fixture
def touched(new_context, live_server, floor):
    """A phone that is tapped, on which the lead opened the floor page."""
    context = new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    context.set_default_timeout(15_000)
    cookie = {"name": f"floor{floor.clinic.pk}", "value": floor.secret, "url": f"{live_server.url}/floor/"}
    context.add_cookies([cookie])
    return context


def put(page, *entries):
    """Each as (seq, kind, facts as JSON); the ids."""
    ids = [str(uuid.uuid4()) for _ in entries]
    texts = [
        f'{{"id": "{number}", "seq": {seq}, "at": "{clock.now().isoformat()}", "kind": "{kind}", "facts": {facts}}}'
        for number, (seq, kind, facts) in zip(ids, entries, strict=True)
    ]
    in_store(page, PUT.replace("ENTRIES", json.dumps(list(zip(ids, texts, strict=True)))))
    return ids


def tap_in(page, name):
    line(page, name).get_by_role("button", name="Sign in").tap()
    expect(line(page, name).get_by_role("button", name="sign out")).to_be_visible()


def test_good_entries_arrive_and_each_broken_one_is_shown_under_close_the_day_until_the_phone_is_erased(touched, floor):
    page = load(touched, floor)
    lose_signal(touched)
    tap_in(page, "Wren Ash")
    deep, newer, big, half = put(
        page,
        (101, "note", '{"words": ' + "[" * 3000 + "]" * 3000 + "}"),
        (102, "in", f'{{"who": "c{floor.children[1].pk}", "mood": "\\ud83c"}}'),
        (103, "note", json.dumps({"words": "Brackets to the left " + "x" * 1_000_000})),
        (104, "note", '{"words": "Bring a ball \\ud83c"}'),
    )
    tap_in(page, "Bryn Vale")
    find_signal(touched)
    all_sent_but(page, 3)

    here = {str(pk): kind for pk, kind in FloorAction.objects.values_list("pk", "kind")}
    assert sorted(here.values()) == ["in", "in", "note"] and half in here
    assert {f"c{floor.children[0].pk}", f"c{floor.children[2].pk}"} == {
        json.loads(one.facts)["who"] for one in FloorAction.objects.filter(kind="in")
    }
    # Opened anew, all of it is still there.
    page.reload()
    all_sent_but(page, 3)
    page.get_by_role("navigation").get_by_role("link", name="Close the day").tap()
    expect(page.locator("#panel-closing")).to_contain_text("Bring a ball \ufffd")
    for number, said, why in (
        (deep, "Note: [[[[", "nested too deeply"),
        (newer, "Fern Moss in", "a detail we don’t know: mood"),
        (big, "Note: Brackets to the left", "too big to send"),
    ):
        expect(page.locator(f"#refused-{number} b")).to_contain_text(said)
        expect(page.locator(f"#refused-{number} p")).to_contain_text(why)
    # Sent again, it comes back.
    with page.expect_response(lambda answer: answer.status == 413):
        page.locator(f"#again-{big}").tap()
    all_sent_but(page, 3)
    assert soon(page, lambda: in_store(page, LEFT) == [0, 3]) and FloorAction.objects.count() == 3
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")

    page.locator("#leave").tap()
    page.locator("#leave-sure").tap()
    expect(page.get_by_text("data has been erased from this phone")).to_be_visible()


def test_another_entry_under_the_id_of_a_kept_one_is_shown_and_not_lost(touched, floor):
    page = load(touched, floor)
    tap_in(page, "Wren Ash")
    all_sent(page)
    kept = FloorAction.objects.get()
    other = json.dumps(
        {"id": str(kept.pk), "seq": 9, "at": clock.now().isoformat(), "kind": "note", "facts": {"words": "Chalk"}}
    )
    in_store(page, PUT.replace("ENTRIES", json.dumps([[str(kept.pk), other]])))
    tap_in(page, "Fern Moss")
    all_sent_but(page, 1)

    at_part(page, "Close the day")
    expect(page.locator(f"#refused-{kept.pk}")).to_contain_text("Note: Chalk")
    expect(page.locator(f"#refused-{kept.pk}")).to_contain_text("another entry with this number")
    assert FloorAction.objects.count() == 2 and FloorAction.objects.get(pk=kept.pk).facts == kept.facts


def all_sent_but(page, count):
    words = f"{count} {'entry wasn’t' if count == 1 else 'entries weren’t'} accepted. See Close the day."
    expect(page.locator("#kept")).to_have_text(f"Everything has been sent. {words}", timeout=30_000)
