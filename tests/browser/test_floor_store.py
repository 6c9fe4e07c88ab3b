"""What the floor page's store does, alone on a bare page: keeps, locks, counts, empties."""

import pytest

from tests.browser.bare_page import ORIGIN, bare, module

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(browser):
    """A browser with nothing in it, and the store's module at hand as ``store``."""
    context = browser.new_context()
    page = bare(context)
    page.evaluate(f"import('{module('store')}').then((all) => {{ globalThis.store = all; }})")
    yield page
    context.close()


def test_what_is_kept_comes_back_and_entries_come_in_the_order_in_which_they_were_entered(phone):
    out = phone.evaluate(
        """async () => {
          const kept = await store.openStore(7);
          await kept.keep('day', 'day', { children: [{ name: 'José' }] });
          for (const seq of [3, 1, 11, 2]) await kept.keep('log', `id-${seq}`, { seq });
          await kept.forget('log', ['id-2', 'never there']);
          const again = await store.openStore(7);
          return [await again.kept('day', 'day'), await again.kept('day', 'drafts'), await again.allKept('log')];
        }"""
    )
    assert out == [{"children": [{"name": "José"}]}, None, [{"seq": 1}, {"seq": 3}, {"seq": 11}]]


def test_what_is_kept_is_noise_and_the_key_to_it_can_not_be_taken_out(phone):
    noise, extractable, taken = phone.evaluate(
        """async () => {
          await (await store.openStore(7)).keep('log', 'a', { words: 'Wren Ash' });
          const settled = (request) => new Promise((yes) => { request.onsuccess = () => yes(request.result); });
          const db = await settled(indexedDB.open('floor7'));
          const row = await settled(db.transaction('log').objectStore('log').get('a'));
          const key = await settled(db.transaction('key').objectStore('key').get('key'));
          const taken = await crypto.subtle.exportKey('raw', key).catch((problem) => problem.name);
          return [new TextDecoder('latin1').decode(row.data), key.extractable, taken];
        }"""
    )
    assert len(noise) > 20 and "Wren" not in noise and extractable is False and taken == "InvalidAccessError"


def test_two_tabs_that_open_at_once_have_one_key(phone):
    read = phone.evaluate(
        """async () => {
          const tabs = await Promise.all([1, 2, 3].map(() => store.openStore(7)));
          for (const [at, tab] of tabs.entries()) await tab.keep('log', String(at), { seq: at });
          return Promise.all(tabs.map((tab) => tab.allKept('log')));
        }"""
    )
    assert read == [[{"seq": 0}, {"seq": 1}, {"seq": 2}]] * 3


def test_no_number_is_used_twice_by_two_tabs_or_after_everything_was_emptied(phone):
    first, then = phone.evaluate(
        """async () => {
          const tabs = [await store.openStore(7), await store.openStore(7)];
          const first = await Promise.all(Array.from({ length: 40 }, (_, at) => tabs[at % 2].nextSeq()));
          await tabs[0].empty();
          return [first, await tabs[1].nextSeq()];
        }"""
    )
    assert sorted(first) == list(range(1, 41)) and then == 41


def test_a_page_that_dropped_its_key_can_neither_read_nor_keep_what_another_tab_still_can(phone):
    out = phone.evaluate(
        """async () => {
          const [mine, other] = [await store.openStore(7), await store.openStore(7)];
          await mine.keep('log', 'a', { seq: 1 });
          mine.dropKey();
          const tries = [mine.kept('log', 'a'), mine.allKept('log'), mine.keep('log', 'b', {})];
          const tried = await Promise.allSettled(tries);
          return [tried.map((one) => one.status), await mine.count('log'), await other.allKept('log')];
        }"""
    )
    assert out == [["rejected"] * 3, 1, [{"seq": 1}]]


def test_emptied_keeps_nobody_but_the_numbers_and_which_phone_left_until_that_is_told(phone):
    out = phone.evaluate(
        """async () => {
          const kept = await store.openStore(7);
          const names = ['key', 'day', 'log', 'refused'];
          for (const name of names.slice(1)) await kept.keep(name, 'a', { seq: 1 });
          await kept.nextSeq();
          await kept.keepLeft(31);
          await kept.empty();
          const counts = await Promise.all(names.map(kept.count));
          const left = [await kept.leftPhone()];
          await kept.forgetLeft();
          return [counts, [...left, await kept.leftPhone() === undefined], await kept.nextSeq()];
        }"""
    )
    assert out == [[0, 0, 0, 0], [31, True], 2]


def test_started_anew_what_could_not_be_unlocked_is_gone_and_what_comes_is_kept(phone):
    out = phone.evaluate(
        """async () => {
          const kept = await store.openStore(7);
          await kept.keep('log', 'old', { seq: 1 });
          // As after another browser's backup: the key is not the one that locked it.
          const db = await new Promise((yes) => {
            indexedDB.open('floor7').onsuccess = ({ target }) => yes(target.result);
          });
          const aes = { name: 'AES-GCM', length: 256 };
          const other = await crypto.subtle.generateKey(aes, false, ['encrypt', 'decrypt']);
          const keys = db.transaction('key', 'readwrite').objectStore('key');
          keys.put(other, 'key');
          await new Promise((yes) => { keys.transaction.oncomplete = yes; });
          const again = await store.openStore(7);
          const before = await again.allKept('log').catch((problem) => problem.name);
          await again.startAnew();
          await again.keep('log', 'new', { seq: 2 });
          return [before, await (await store.openStore(7)).allKept('log')];
        }"""
    )
    assert out == ["OperationError", [{"seq": 2}]]


def test_days_that_are_over_are_swept_and_days_to_come_this_one_and_other_stores_stay(phone):
    names = phone.evaluate(
        """async () => {
          for (const [pk, until] of [[7, 10], [8, 10], [9, 1000], [10, 0]]) {
            const kept = await store.openStore(pk);
            if (until) await kept.keepUntil(until);
          }
          await new Promise((yes) => { indexedDB.open('floorplan').onsuccess = yes; });
          await store.sweepOthers(7, 500);
          // The page does not wait for what is swept either: it is gone once whoever held it has let go.
          const names = async () => (await indexedDB.databases()).map((one) => one.name).sort();
          for (let n = 0; n < 400 && (await names()).includes('floor8'); n += 1)
            await new Promise((yes) => { setTimeout(yes, 25); });
          return await names();
        }"""
    )
    assert names == ["floor10", "floor7", "floor9", "floorplan"]


def test_a_phone_without_room_says_so_of_each_entry_and_never_that_it_kept_one(phone):
    tools = phone.context.new_cdp_session(phone)
    tools.send("Storage.overrideQuotaForOrigin", {"origin": ORIGIN, "quotaSize": 1_000_000})
    said, there = phone.evaluate(
        """async () => {
          const kept = await store.openStore(7);
          const said = [];
          for (let seq = 1; seq <= 6; seq += 1) {
            const entry = kept.keep('log', `id-${seq}`, { seq, words: 'x'.repeat(300_000) });
            said.push(await entry.then(() => seq, (problem) => problem.name));
          }
          return [said, (await kept.allKept('log')).map((one) => one.seq)];
        }"""
    )
    assert said[-1] == "QuotaExceededError" and there == [one for one in said if isinstance(one, int)]
    assert there, "there was room for some"
