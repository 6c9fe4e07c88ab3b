"""What the floor page's sync does, alone on a bare page: the server is a function that answers as it is told."""

import pytest

from tests.browser.bare_page import ORIGIN, bare

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(browser):
    """A browser with nothing in it; what tests/browser/hall.js hands out is at hand by name."""
    context = browser.new_context()
    page = bare(context)
    page.evaluate("import('/beside/hall.js').then((all) => { Object.assign(globalThis, all); })")
    yield page
    context.close()


def test_a_tap_is_kept_before_it_is_shown_and_shown_before_it_is_sent(phone):
    before, after, heard = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const { way, open } = gate();
          hall.store.keep = ((keep) => async (...all) => { await way; return keep(...all); })(hall.store.keep);
          const tapped = hall.note('a');
          await new Promise((yes) => setTimeout(yes, 100));
          const before = [hall.heard.length, hall.sync.known.pending.length];
          open();
          const after = await tapped.then(async () => [hall.sync.known.pending.length, await hall.store.count('log')]);
          await allSent(hall);
          return [before, after, hall.heard.map(([first, what]) => (first === 'sync' ? first : `${first} ${what}`))];
        }"""
    )
    assert before == [0, 0] and after == [1, 1]
    assert heard[:3] == ["tell Note: a", "draw 1", "sync"]


def test_an_entry_is_sent_with_the_same_id_until_the_server_lists_it_and_then_no_more(phone):
    sent, kept, then = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.lists = false;
          const { id } = await hall.note('a');
          await until(() => hall.said('sync').length === 1);
          for (const times of [2, 3]) {
            await hall.sync.wake();
            await until(() => hall.said('sync').length === times);
          }
          const kept = [hall.sync.known.pending.length, await hall.store.count('log')];
          hall.server.lists = true;
          await hall.sync.wake();
          await allSent(hall);
          await hall.sync.wake();
          await until(() => hall.said('sync').length === 5);
          return [hall.said('sync').map((ids) => ids.map((one) => one === id)), kept, await hall.store.count('log')];
        }"""
    )
    assert sent == [[True]] * 4 + [[]] and kept == [1, 1] and then == 0


def test_without_signal_entries_stay_and_arrive_in_order_at_the_next_waking(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.up = false;
          for (const words of ['a', 'b', 'c', 'd']) await hall.note(words);
          await until(() => !hall.sync.known.signal);
          const kept = [hall.sync.known.pending.length, await hall.store.count('log')];
          hall.server.up = true;
          await hall.sync.wake();
          await allSent(hall);
          const { log } = hall.server, told = hall.said('tell').flat();
          return [kept, log.map((one) => one.facts.words), log.map((one) => one.seq), told, hall.sync.known.signal];
        }"""
    )
    kept, words, numbers, told, signal = out
    assert kept == [4, 4] and words == ["a", "b", "c", "d"] and numbers == [1, 2, 3, 4] and signal is True
    assert told.count("No signal. Your entries are saved on this phone.") == 1, "once, not for each try"
    assert told[-1] == "Signal is back."


def test_a_tap_while_another_is_under_way_goes_by_itself_right_after_it(phone):
    sendings = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const { way, open } = gate();
          hall.server.before = () => way;
          await hall.note('a');
          await until(() => hall.said('sync').length === 1);
          await hall.note('b');
          await hall.note('c');
          open();
          await allSent(hall);
          return [hall.said('sync').map((ids) => ids.length), hall.server.log.map((one) => one.facts.words)];
        }"""
    )
    assert sendings == [[1, 2], ["a", "b", "c"]]


def test_more_than_one_sending_takes_goes_in_several_without_another_tap(phone):
    counts, numbers = phone.evaluate(
        """async () => {
          const hall = await openHall();
          for (let seq = 1; seq <= 450; seq += 1) {
            const one = { id: `id-${seq}`, seq, at: new Date().toISOString(), kind: 'note', facts: { words: 'x' } };
            await hall.store.keep('log', one.id, one);
          }
          await hall.sync.send();
          await allSent(hall);
          return [hall.said('sync').map((ids) => ids.length), hall.server.log.map((one) => one.seq)];
        }"""
    )
    assert counts == [200, 200, 50] and numbers == list(range(1, 451))


def test_what_the_server_refuses_is_kept_with_its_words_and_can_be_sent_again_as_it_was(phone):
    refused, others, again, left = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.refuses = ['wrong'];
          const { id } = await hall.note('wrong');
          await hall.note('right');
          await allSent(hall);
          const kept = await hall.store.allKept('refused');
          const refused = [kept.map((one) => [one.id === id, one.why]), hall.sync.known.refused.length];
          const others = hall.server.log.map((one) => one.facts.words);
          hall.server.refuses = [];
          await hall.sync.sendAgain(id);
          await allSent(hall);
          const again = hall.server.log.at(-1);
          return [refused, others, [again.id === id, again.seq, 'why' in again], await hall.store.count('refused')];
        }"""
    )
    assert refused == [[[True, "No."]], 1] and others == ["right"]
    assert again == [True, 1, False] and left == 0


@pytest.mark.parametrize("ahead", [-86_400_000, 0, 86_400_000])
def test_the_page_goes_by_the_servers_clock_and_an_entry_by_the_phones(phone, ahead):
    page, entry, sent, again = phone.evaluate(
        """async (ahead) => {
          const hall = await openHall();
          hall.server.ahead = ahead;
          await hall.sync.tryDay();
          const off = (moment) => Date.parse(moment) - Date.now();
          const one = await hall.note('a');
          await allSent(hall);
          // Opened again without signal: what the difference was is known.
          hall.server.up = false;
          const page = await openPage(hall);
          await page.sync.recall();
          const again = page.sync.serverNow();
          return [hall.sync.serverNow(), hall.sync.ours(one.at), hall.server.log[0].at, again].map(off);
        }""",
        ahead,
    )
    assert all(abs(one - ahead) < 20_000 for one in (page, entry, again)) and abs(sent) < 20_000


def test_a_page_opened_again_without_signal_knows_the_day_and_what_is_not_sent(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.up = false;
          for (const words of ['a', 'b', 'c']) await hall.note(words);
          hall.sync.draft('walkin').name = 'Juno';
          hall.sync.keepDrafts();
          await until(() => hall.store.kept('day', 'drafts'));
          hall.heard.length = 0;
          const { sync } = await openPage(hall);
          await sync.recall();
          const { day, pending } = sync.known;
          return [day.phone, pending.map((one) => one.facts.words), sync.draft('walkin'), hall.heard];
        }"""
    )
    assert out == [3, ["a", "b", "c"], {"name": "Juno"}, []]


def test_what_can_not_be_unlocked_is_counted_and_the_page_goes_on(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.up = false;
          for (const words of ['a', 'b']) await hall.note(words);
          const noise = async () => { throw new DOMException('Noise.', 'OperationError'); };
          const { sync, store } = await openPage({ ...hall, over: { allKept: noise } });
          await sync.recall();
          return [sync.known.lost, sync.known.day, await store.count('log')];
        }"""
    )
    assert out == [2, None, 0]


def test_a_tap_that_a_full_phone_can_not_keep_is_neither_shown_nor_sent_and_the_page_says_so(phone):
    tools = phone.context.new_cdp_session(phone)
    tools.send("Storage.overrideQuotaForOrigin", {"origin": ORIGIN, "quotaSize": 1_000_000})
    kept, full, there, told = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.up = false;
          const kept = [];
          for (let n = 0; n < 6; n += 1) kept.push(Boolean(await hall.note('x'.repeat(300_000))));
          const { pending, full } = hall.sync.known;
          const told = hall.said('tell').filter(([words]) => words.startsWith('Note')).length;
          return [kept, full, [pending.length, await hall.store.count('log')], told];
        }"""
    )
    assert kept[0] is True and kept[-1] is False and full is True
    assert there == [sum(kept)] * 2 and told == sum(kept)


def test_with_room_again_the_next_tap_takes_the_warning_away(phone):
    states = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const { keep } = hall.store;
          const states = [];
          for (const room of [false, true]) {
            const full = async () => { throw new DOMException('Full.', 'QuotaExceededError'); };
            hall.store.keep = room ? keep : full;
            states.push([Boolean(await hall.note('a')), hall.sync.known.full]);
          }
          return states;
        }"""
    )
    assert states == [[False, True], [True, False]]


def test_without_room_for_the_day_entries_still_arrive_and_the_page_says_to_stay_open(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const { keep } = hall.store;
          hall.store.keep = async (name, ...rest) => {
            if (name === 'day') throw new DOMException('Full.', 'QuotaExceededError');
            return keep(name, ...rest);
          };
          await hall.note('a');
          await allSent(hall);
          const during = [hall.sync.known.signal, hall.sync.known.dayKept, hall.server.log.length];
          hall.store.keep = keep;
          await hall.sync.wake();
          await until(() => hall.sync.known.dayKept);
          return during;
        }"""
    )
    assert out == [True, False, 1]


def test_a_server_in_trouble_is_told_apart_from_no_signal(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          Object.assign(hall.server, { status: 503, why: 'The office is moving house.' });
          await hall.note('a');
          await until(() => !hall.sync.known.signal);
          const trouble = hall.sync.known.trouble;
          Object.assign(hall.server, { status: 200, up: false });
          await hall.sync.wake();
          await until(() => hall.sync.known.trouble === '');
          return [trouble, hall.sync.known.pending.length];
        }"""
    )
    assert out == ["The office is moving house.", 1]


def test_a_phone_that_may_no_longer_write_is_wiped_told_what_it_lost_and_takes_no_tap(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.up = false;
          await hall.note('a');
          await until(() => !hall.sync.known.signal);
          Object.assign(hall.server, { up: true, status: 401, why: 'You have left.' });
          await hall.sync.wake();
          await until(() => hall.said('shut').length);
          const count = () => Promise.all(['key', 'day', 'log', 'refused'].map(hall.store.count));
          await until(async () => (await count()).every((rows) => rows === 0));
          const counts = await count();
          const { day, pending } = hall.sync.known;
          return [hall.said('shut'), counts, [day, pending], await hall.note('b')];
        }"""
    )
    words = "You have left. 1 entry had not been sent. Write down what you remember, for our office."
    assert out == [[[words]], [0, 0, 0, 0], [None, []], None]


def test_a_day_that_is_over_by_the_servers_clock_is_wiped_at_the_next_waking_and_asks_nobody(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          // The phone's clock is a day ahead, so that by it the day is long over: the server's counts.
          hall.server.ahead = -86_400_000;
          await hall.sync.tryDay();
          hall.heard.length = 0;
          await hall.sync.wake();
          const still = hall.said('shut').length;
          await until(() => hall.said('sync').length);
          hall.server.day = { wipe_at: new Date(Date.now() + hall.server.ahead - 1).toISOString() };
          await hall.sync.tryDay();
          hall.heard.length = 0;
          await hall.sync.wake();
          const asked = hall.said('sync').length + hall.said('data').length;
          return [still, hall.said('shut'), asked, hall.sync.known.day, await hall.store.count('day')];
        }"""
    )
    assert out == [0, [["This clinic is over. Its data has been erased from this phone."]], 0, None, 0]


def test_another_edition_of_the_day_is_asked_for_once(phone):
    asked = phone.evaluate(
        """async () => {
          const hall = await openHall();
          await hall.note('a');
          await allSent(hall);
          hall.server.edition = '2';
          for (const words of ['b', 'c']) { await hall.note(words); await allSent(hall); }
          await until(() => hall.sync.known.day.edition === '2');
          await hall.sync.send();
          return hall.said('data').length;
        }"""
    )
    assert asked == 1


def test_whoever_the_phone_does_not_list_is_asked_for_until_that_was_answered_and_then_once(phone):
    asked = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.state = { stays: { c9: [] } };
          hall.server.before = (name) => { if (name === 'data') throw new TypeError('Cut.'); };
          await hall.sync.send();
          const cut = hall.said('data').length;
          hall.server.before = null;
          for (let n = 0; n < 3; n += 1) await hall.sync.send();
          return [cut, hall.said('data').length];
        }"""
    )
    assert asked == [1, 2]


def test_two_tabs_show_each_others_taps_and_number_each_once(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const tab = await openPage(hall);
          await tab.sync.recall();
          hall.server.up = false;
          await Promise.all([hall.note('a'), tab.note('b'), hall.note('c'), tab.note('d')]);
          await until(() => hall.sync.known.pending.length === 4 && tab.sync.known.pending.length === 4);
          hall.server.up = true;
          await Promise.all([hall.sync.wake(), tab.sync.wake()]);
          await allSent(hall);
          await allSent(tab);
          const { log } = hall.server;
          const words = log.map((one) => one.facts.words).sort().join('');
          return [log.map((one) => one.seq).sort(), words, await hall.store.count('log')];
        }"""
    )
    assert out == [[1, 2, 3, 4], "abcd", 0]


def test_a_tab_that_is_wiped_shuts_the_others_and_neither_opens_again(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const tab = await openPage(hall);
          await tab.sync.recall();
          await hall.sync.wipe('Gone.');
          await until(() => tab.sync.known.gone);
          await Promise.all([hall.sync.wake(), tab.sync.wake(), hall.sync.send(), tab.sync.send()]);
          return [hall.said('shut'), hall.said('sync').length + hall.said('data').length, tab.sync.known.day];
        }"""
    )
    assert out == [[["Gone."], ["Gone."]], 0, None]


def test_the_last_tap_is_taken_back_by_an_entry_of_its_own_and_only_once(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const { id } = await hall.note('a');
          hall.sync.takeBackLast();
          hall.sync.takeBackLast();
          await until(() => hall.server.log.length === 2);
          await allSent(hall);
          hall.sync.takeBackLast();
          await allSent(hall);
          return [hall.server.log.map((one) => [one.kind, one.facts.of === id]), hall.sync.known.last];
        }"""
    )
    assert out == [[["note", False], ["undo", True]], None]


def test_leaving_wipes_first_and_tells_the_server_until_it_has_heard(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.up = false;
          await hall.leaving.leavePhone();
          const order = hall.heard.map(([first]) => first);
          const counts = await Promise.all(['key', 'day', 'log'].map(hall.store.count));
          const untold = [hall.leaving.isUntold(), await hall.leaving.hasLeft()];
          // Another opening of the page: the number outlived the wiping.
          const page = await openPage(hall);
          const again = [await page.leaving.hasLeft(), await page.leaving.tellLeft()];
          hall.server.up = true;
          const told = [await page.leaving.tellLeft(), await page.leaving.hasLeft(), page.leaving.isUntold()];
          return [order, counts, untold, again, told];
        }"""
    )
    order, counts, untold, again, told = out
    assert order == ["shut", "leave", "untold"] and counts == [0, 0, 0] and untold == [True, True]
    assert again == [True, "untold"] and told == ["told", False, False]


def test_a_phone_that_was_opened_by_a_new_link_since_hears_that_it_may_open(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.up = false;
          await hall.leaving.leavePhone();
          Object.assign(hall.server, { up: true, open: true });
          return [await hall.leaving.tellLeft(), await hall.leaving.hasLeft()];
        }"""
    )
    assert out == ["open", False]
