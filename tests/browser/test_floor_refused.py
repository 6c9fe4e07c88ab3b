"""What becomes of entries that the server refuses or can't even read: the floor page's sync alone on a bare page."""

import pytest

from tests.browser.bare_page import bare, module

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(browser):
    """A browser with nothing in it; what tests/browser/hall.js hands out, and the rules, are at hand by name."""
    context = browser.new_context()
    page = bare(context)
    for address in ("/beside/hall.js", module("rules")):
        page.evaluate(f"import('{address}').then((all) => {{ Object.assign(globalThis, all); }})")
    yield page
    context.close()


# Entries that the server can't read, among others that it can, and what became of all.
POISON = """async ([words, status, all]) => {
  const hall = await openHall();
  hall.server.up = false;
  for (const one of words) await hall.note(one);
  await until(() => !hall.sync.known.signal);
  const poisoned = (one) => all || one.facts.words.startsWith('poison');
  hall.server.unread = (actions) => ((all || actions.some(poisoned)) ? status : 0);
  hall.server.up = true;
  hall.heard.length = 0;
  await hall.sync.wake();
  await (all ? until(() => hall.sync.known.trouble) : allSent(hall));
  const { known } = hall.sync;
  const stored = await Promise.all(['log', 'refused'].map(hall.store.allKept));
  return {
    log: hall.server.log.map((one) => one.facts.words), sendings: hall.said('sync').map((ids) => ids.length),
    stored: stored.map((rows) => rows.map((one) => one.facts.words)), why: known.refused.map((one) => one.why),
    pending: known.pending.length, trouble: known.trouble, signal: known.signal,
  };
}"""


@pytest.mark.parametrize(("status", "why"), [(400, "can’t read this entry"), (413, "too big to send")])
@pytest.mark.parametrize("at", [[0], [3], [6], [2, 3], [0, 6]])
def test_a_sending_that_can_not_be_read_is_halved_until_only_the_entry_that_breaks_it_is_refused(
    phone, status, why, at
):
    words = [f"poison {n}" if n in at else f"note {n}" for n in range(7)]
    out = phone.evaluate(POISON, [words, status, False])

    good, poisoned = [one for one in words if one.startswith("note")], [one for one in words if "poison" in one]
    assert out["log"] == good and out["stored"] == [[], poisoned] and out["pending"] == 0
    assert len(out["why"]) == len(at) and all(why in one for one in out["why"])
    assert out["signal"] is True and len(out["sendings"]) < 20


def test_when_nothing_at_all_can_be_read_no_entry_is_blamed_and_all_wait(phone):
    out = phone.evaluate(POISON, [["a", "b", "c"], 400, True])

    assert out["stored"] == [["a", "b", "c"], []] and out["pending"] == 3 and out["trouble"] == "We couldn’t read it."
    # All, one, and none.
    assert out["sendings"] == [3, 1, 0]


def test_a_batch_that_was_cut_grows_again_as_sendings_arrive(phone):
    sendings = phone.evaluate(
        """async () => {
          const hall = await openHall();
          for (let seq = 1; seq <= 300; seq += 1) {
            const facts = { words: seq === 1 ? 'poison' : 'x' };
            const one = { id: `id-${seq}`, seq, at: new Date().toISOString(), kind: 'note', facts };
            await hall.store.keep('log', one.id, one);
          }
          hall.server.unread = (actions) => (actions.some((one) => one.facts.words === 'poison') ? 400 : 0);
          await hall.sync.send();
          await allSent(hall);
          return hall.said('sync').map((ids) => ids.length);
        }"""
    )
    assert sendings == [200, 100, 50, 25, 12, 6, 3, 1, 0, 1, 2, 4, 8, 16, 32, 64, 128, 44]


def test_an_entry_that_can_not_be_moved_is_shown_as_refused_and_neither_lost_nor_sent_all_the_time(phone):
    out = phone.evaluate(
        """async () => {
          const hall = await openHall();
          const { keep } = hall.store;
          const full = async (name, ...rest) => {
            if (name === 'refused') throw new DOMException('Full.', 'QuotaExceededError');
            return keep(name, ...rest);
          };
          hall.store.keep = full;
          hall.server.refuses = ['wrong'];
          const { id } = await hall.note('wrong');
          await hall.note('right');
          await until(() => hall.server.log.length === 1 && hall.sync.known.refused.length === 1);
          await hall.sync.wake();
          await until(() => hall.said('sync').at(-1).length === 0);
          const { known } = hall.sync;
          const why = known.refused.map((one) => one.why);
          const during = [why, known.pending.length, known.signal, await hall.store.count('log')];
          hall.server.refuses = [];
          hall.store.keep = keep;
          await hall.sync.sendAgain(id);
          await allSent(hall);
          return [during, hall.server.log.map((one) => one.facts.words), known.refused.length];
        }"""
    )
    assert out == [[["No."], 0, True, 1], ["right", "wrong"], 0]


def test_an_answer_that_names_no_entry_of_the_sending_does_not_make_the_page_ask_without_end(phone):
    count = phone.evaluate(
        """async () => {
          const hall = await openHall();
          hall.server.lists = false;
          const { ask } = hall.server;
          const page = await openPage({ ...hall, server: { ask: async (name, body) => {
            const answer = await (await ask(name, body)).json();
            return Response.json(name === 'sync' ? { ...answer, refused: [{ id: '', why: 'No.' }] } : answer);
          } } });
          await page.sync.recall();
          await page.sync.tryDay();
          await page.note('a');
          await until(() => hall.said('sync').length);
          await new Promise((yes) => setTimeout(yes, 500));
          return [hall.said('sync').length, page.sync.known.pending.length];
        }"""
    )
    assert count == [1, 1]


def test_an_entry_that_can_not_even_be_written_travels_as_nothing_and_stops_no_other(phone):
    texts = phone.evaluate("() => { const round = {}; round.round = round; return oneSending([round, { a: 1 }]); }")
    assert texts == ["", '{"a":1}']


@pytest.mark.parametrize(
    ("change", "sound"),
    [
        ({}, True),
        ({"facts": {"words": None}}, True),
        ({"at": "yesterday"}, False),
        ({"at": None}, False),
        ({"facts": None}, False),
        ({"facts": {"words": ["a"]}}, False),
        ({"kind": "walk-in", "facts": {"who": "w-1", "name": "A", "born": "2018-01-01", "guardian": ""}}, True),
        ({"kind": "walk-in", "facts": {"who": "w-1", "name": 7, "born": "2018-01-01", "guardian": ""}}, False),
    ],
)
def test_a_broken_entry_is_not_laid_over_the_day(phone, change, sound):
    one = {"id": "a", "at": "2026-12-03T19:30:00.000Z", "kind": "note", "facts": {"words": "a"}} | change

    assert phone.evaluate("(one) => isSound(one)", one) is sound


def test_an_answer_is_read_by_place_and_an_older_one_by_id(phone):
    batch = [{"id": "a", "seq": 1}, {"id": "b"}, {"id": "a", "seq": 2}, {"id": "c"}]
    answer = {"kept": ["a"], "refused": [{"id": "a", "place": 2, "why": "No."}, {"id": "b", "why": "Never."}]}
    out = phone.evaluate("([batch, answer]) => sorted(batch, answer)", [batch, answer])

    assert out == {"kept": ["a"], "refused": [[batch[1], "Never."], [batch[2], "No."]]}
