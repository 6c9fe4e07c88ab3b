// What is entered is first kept on the phone, then shown, then sent until the server has it.
import { makeAside } from "./aside.js";
import { MOST_ENTRIES, oneSending, sorted } from "./rules.js";
import { makeTimes } from "./times.js";
import { canUndo } from "./undo.js";
import { gettext, ngettext } from "./words.js";

// Who must not pick up and what a child can’t eat may change in the office while the page is open.
const ANEW_MS = 120_000;
const PATIENCE_MS = 20_000;
// So many steps back go from the foot of the page.
const MOST_UNDONE = 20;
// What the server answers where it can’t read a sending as a whole.
const UNREAD = [400, 413];
const over = () => gettext("This clinic is over. Its data has been erased from this phone.");

// The server, as the page reaches it: `ask(name, body)` comes to a Response.
export const overNet = (pk) => (name, body) => fetch(`/floor/${pk}/${name}/`, {
  method: "POST", body: JSON.stringify(body), cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS),
  headers: { "Content-Type": "application/json", "X-Floor": "1" },
});

// What this page knows, and what changes it. `page` shows: draw(), tell(words), and shut(words) when all is gone.
export function makeSync({ pk, store, ask, page }) {
  // Others read this and never write it.
  const known = {
    day: null, pending: [], refused: [], draft: {}, done: [], fetched: 0,
    signal: true, trouble: "", full: false, dayKept: true, lost: 0, gone: false,
  };
  const otherTabs = new BroadcastChannel(`floor${pk}`);
  const times = makeTimes(known);
  const { setAside, takeUp, toSend } = makeAside({ known, store });
  let [sending, again, asked, draftTimer, undoing] = [false, false, "", 0, false];

  async function post(name, body) {
    const answer = await ask(name, body);
    if (answer.status === 401) { await wipe((await answer.json()).why); return null; }
    if (!answer.ok) {
      const said = await answer.json().catch(() => ({}));
      throw Object.assign(new Error(`The server answered ${answer.status}.`), { status: answer.status, why: said.why || gettext("Our server couldn’t save them just now.") });
    }
    return answer.json();
  }

  // No signal and a server in trouble are told apart: for the first one can walk to the door.
  function notReached(problem) {
    if (known.signal && known.day) page.tell(gettext("No signal. Your entries are saved on this phone."));
    known.signal = false;
    known.trouble = problem.why || "";
  }

  function learn(now) {
    known.day.offset = Date.parse(now) - Date.now();
    known.day.heard = now;
    if (!known.signal) page.tell(gettext("Signal is back."));
    known.signal = true;
    known.trouble = "";
  }

  async function keepDay() {
    if (known.gone) return;
    try {
      await store.keep("day", "day", known.day);
      await store.keepUntil(Date.parse(known.day.wipe_at) - known.day.offset);
      known.dayKept = true;
    } catch (problem) {
      // Without room for it the page goes on, and says that it must stay open.
      console.warn(problem);
      known.dayKept = false;
    }
  }

  async function getDay() {
    const fresh = await post("data", {});
    if (!fresh || known.gone) return;
    known.day = fresh;
    learn(fresh.now);
    await keepDay();
    otherTabs.postMessage({ said: "day" });
    known.fetched = performance.now();
    page.draw();
  }

  // The day as it is now, or a word that it could not be had.
  async function tryDay() {
    try { await getDay(); } catch (problem) { notReached(problem); }
  }

  // What is kept here from before. What can't be unlocked is noise: it goes, and the page says what that cost.
  async function recall() {
    try {
      const [day, pending, refused, draft] = await Promise.all([
        store.kept("day", "day"), store.allKept("log"), store.allKept("refused"), store.kept("day", "drafts")]);
      if (day) Object.assign(known, { day, pending, refused, draft: draft || {} });
    } catch (problem) {
      console.warn(problem);
      known.lost = (await store.count("log")) + (await store.count("refused"));
      await store.startAnew();
    }
  }

  // What is half typed in one part of the page.
  const draft = (name, empty = {}) => (known.draft[name] ||= empty);

  function keepDrafts() {
    clearTimeout(draftTimer);
    draftTimer = setTimeout(() => { if (!known.gone) store.keep("day", "drafts", known.draft).catch(notKept); }, 250);
  }

  function dropDraft(name) {
    known.draft[name] = {};
    keepDrafts();
  }

  function notKept(problem) {
    console.warn(problem);
    known.full = true;
    page.draw();
  }

  // One tap. `words` say what it was, for the screen reader and for taking it back.
  async function act(kind, facts, words) {
    if (known.gone) return null;
    const one = { id: crypto.randomUUID(), seq: 0, at: new Date().toISOString(), kind, facts };
    try {
      one.seq = await store.nextSeq();
      await store.keep("log", one.id, one);
    } catch (problem) {
      notKept(problem);
      return null;
    }
    known.full = false;
    known.pending.push(one);
    // Two records once merged can't be separated, so that is asked twice before, and not offered to be undone.
    if (!["undo", "same"].includes(kind)) known.done = [...known.done, { id: one.id, words }].slice(-MOST_UNDONE);
    otherTabs.postMessage({ said: "entry" });
    page.tell(words);
    page.draw();
    send();
    return one;
  }

  // What the foot offers to undo: what was tapped last, of all that still holds.
  const lastDone = () => (known.day ? canUndo(known.done, { pending: known.pending, state: known.day.state }).at(-1) : undefined);

  async function takeBackLast() {
    const last = lastDone();
    if (!last || undoing) return;
    undoing = true;
    try { await act("undo", { of: last.id }, gettext("Undone: %(action)s", { action: last.words })); } finally { undoing = false; }
  }

  async function send() {
    if (!known.day || known.gone) return;
    if (sending) { again = true; return; }
    sending = true;
    try {
      let more = true;
      while (more && !known.gone) {
        again = false;
        // One tab sends at a time.
        more = (await (navigator.locks ? navigator.locks.request(`floor${pk}`, sendOnce) : sendOnce())) || again;
      }
    } catch (problem) {
      notReached(problem);
    } finally {
      sending = false;
    }
    page.draw();
  }

  // At most so many at once, until a sending that can’t be read has shown which entry it is for.
  let most = MOST_ENTRIES;
  const inOne = (texts) => ({ phone_now: new Date().toISOString(), actions: texts });

  // True when there is more to send and this sending got somewhere.
  async function sendOnce() {
    await readLog();
    if (known.gone) return false;
    const texts = oneSending(known.pending, most);
    const batch = known.pending.slice(0, texts.length);
    let answer;
    try {
      answer = await post("sync", inOne(texts));
    } catch (problem) {
      if (!batch.length || !UNREAD.includes(problem.status)) throw problem;
      return sendFewer(batch, problem.status);
    }
    if (!answer || known.gone) return false;
    most = Math.min(MOST_ENTRIES, most * 2);
    learn(answer.now);
    known.day.state = answer.state;
    const { kept, refused } = sorted(batch, answer);
    for (const [one, why] of refused) await setAside(one, why);
    await keepDay();
    await store.forget("log", kept);
    const gone = new Set([...kept, ...refused.map(([{ id }]) => id)]);
    known.pending = known.pending.filter((one) => !gone.has(one.id));
    otherTabs.postMessage({ said: "sent", ids: [...gone] });
    page.draw();
    await learnOthers();
    await learnNews(answer.edition);
    return gone.size > 0 && known.pending.length > 0;
  }

  // The server could not read a sending as a whole: half as many go at once, until the one that it can’t read is alone.
  async function sendFewer(batch, status) {
    if (batch.length > 1) {
      most = Math.floor(batch.length / 2);
      return true;
    }
    // If not even nothing can be sent, it is not this entry.
    const answer = await post("sync", inOne([]));
    if (!answer || known.gone) return false;
    learn(answer.now);
    await setAside(batch[0], status === 413 ? gettext("This entry is too big to send.") : gettext("Our server can’t read this entry."));
    otherTabs.postMessage({ said: "sent", ids: [batch[0].id] });
    page.draw();
    return known.pending.length > 0;
  }

  // Other hours, another run sheet, or called off: known within one sending, not when the day is asked for anew.
  async function learnNews(edition) {
    if (edition && !known.gone && edition !== known.day.edition) await getDay();
  }

  // A child who walked in is in the books after a sending, with all that was said of them, and two records that became one
  // have the number of one: whoever this phone does not list yet is asked for once.
  async function learnOthers() {
    const { children, adults, state } = known.day;
    const listed = new Set([...children, ...adults].map((one) => one.who));
    const told = [...state.walk_ins.map((one) => one.child), ...Object.keys(state.stays).filter((who) => /^[cv]\d+$/.test(who))];
    const unknown = told.filter((who) => who && !listed.has(who)).join();
    if (!unknown || unknown === asked) return;
    await getDay();
    // Only once it was answered: signal that went away in between must not leave an allergy unread.
    asked = unknown;
  }

  // Together with what other tabs of this phone wrote.
  async function readLog() {
    const all = await store.allKept("log");
    if (known.gone) return;
    const logged = toSend(all);
    const ids = new Set(logged.map((one) => one.id));
    known.pending = [...logged, ...known.pending.filter((one) => !ids.has(one.id))].sort((one, two) => one.seq - two.seq);
  }

  async function sendAgain(id) {
    try { await takeUp(id); } catch (problem) { notKept(problem); return; }
    send();
  }

  async function wipe(why) {
    const lost = known.pending.length;
    const words = lost ? `${why} ${ngettext("%(n)s entry had not been sent. Write down what you remember, for our office.", "%(n)s entries had not been sent. Write down what you remember, for our office.", lost)}` : why;
    otherTabs.postMessage({ said: "wiped", why: words });
    shut(words);
    await store.empty();
  }

  // Nothing of the day stays in the page either, not even what was half typed.
  function shut(words) {
    known.gone = true;
    clearTimeout(draftTimer);
    Object.assign(known, { day: null, pending: [], refused: [], draft: {}, done: [] });
    store.dropKey();
    page.shut(words);
  }

  // True when the day may no longer be shown, and is wiped.
  async function wipedAsOver() {
    if (!known.day || times.serverNow() < new Date(known.day.wipe_at)) return false;
    await wipe(over());
    return true;
  }

  // Whenever the page comes back to life: first whether it may, then what is new.
  async function wake() {
    if (known.gone || (await wipedAsOver())) return;
    if (!known.day || (performance.now() - known.fetched > ANEW_MS && known.signal)) await tryDay();
    send();
  }

  otherTabs.addEventListener("message", async ({ data }) => {
    if (known.gone || !known.day) return;
    if (data.said === "wiped") { shut(data.why); return; }
    const day = data.said === "entry" ? null : await store.kept("day", "day");
    const refused = await store.allKept("refused");
    if (known.gone) return;
    if (data.said === "sent") known.pending = known.pending.filter((one) => !data.ids.includes(one.id));
    Object.assign(known, { day: day || known.day, refused });
    await readLog();
    page.draw();
  });

  return {
    known, ...times, act, lastDone, takeBackLast, sendAgain, draft, keepDrafts, dropDraft,
    recall, tryDay, send, wake, wipe, wipedAsOver, shut,
  };
}
