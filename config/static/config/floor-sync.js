// What is entered is first kept on the phone, then shown, then sent until the server has it.
"use strict";

const app = { day: null, pending: [], refused: [], draft: {}, signal: true, trouble: "", sending: false, again: false, gone: false, last: null };
const EVERY_MS = 20_000;
// Who must not collect and what a child can’t eat may change in the office while the page is open.
const ANEW_MS = 120_000;
const PATIENCE_MS = 20_000;
const OVER = "This clinic is over, so what this phone kept of it is wiped.";
const otherTabs = new BroadcastChannel(`floor${pk}`);

// The phone's clock may be a day wrong; the server's answers say by how much.
const serverNow = () => new Date(Date.now() + (app.day?.offset || 0));
const ours = (at) => new Date(Date.parse(at) + (app.day?.offset || 0)).toISOString();
const clockAt = (iso) => new Date(iso).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: app.day.clinic.zone });
const clinicDay = () => new Date(app.day.clinic.starts_at).toLocaleDateString("sv-SE", { timeZone: app.day.clinic.zone });

const ask = (name, body) => fetch(`/floor/${pk}/${name}/`, {
  method: "POST", body: JSON.stringify(body), cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS),
  headers: { "Content-Type": "application/json", "X-Floor": "1" },
});

async function post(name, body) {
  const answer = await ask(name, body);
  if (answer.status === 401) { await wipe((await answer.json()).why); return null; }
  if (!answer.ok) {
    const said = await answer.json().catch(() => ({}));
    throw Object.assign(new Error(`The server answered ${answer.status}.`), { why: said.why || "The office’s computer could not take them just now." });
  }
  return answer.json();
}

// No signal and a server in trouble are told apart: for the first one can walk to the door.
function notReached(problem) {
  if (app.signal && app.day) tell("No signal. What you enter is kept on this phone.");
  app.signal = false;
  app.trouble = problem.why || "";
}

function learn(now) {
  app.day.offset = Date.parse(now) - Date.now();
  if (!app.signal) tell("There is signal again.");
  app.signal = true;
  app.trouble = "";
}

async function keepDay() {
  if (app.gone) return;
  await keep("day", "day", app.day);
  await keepUntil(Date.parse(app.day.wipe_at) - app.day.offset);
}

async function getDay() {
  const fresh = await post("data", {});
  if (!fresh || app.gone) return;
  app.day = fresh;
  learn(fresh.now);
  await keepDay();
  otherTabs.postMessage({ said: "day" });
  app.fetched = performance.now();
  document.body.dataset.day = "fresh";
  draw();
}

let draftTimer = 0;
function keepDrafts() {
  clearTimeout(draftTimer);
  draftTimer = setTimeout(() => { if (!app.gone) keep("day", "drafts", app.draft).catch(notKept); }, 250);
}

function notKept(problem) {
  console.warn(problem);
  app.full = true;
  draw();
}

// One tap. `words` say what it was, for the screen reader and for taking it back.
async function act(kind, facts, words) {
  if (app.gone) return null;
  const one = { id: crypto.randomUUID(), seq: 0, at: new Date().toISOString(), kind, facts };
  try {
    one.seq = await nextSeq();
    await keep("log", one.id, one);
  } catch (problem) {
    notKept(problem);
    return null;
  }
  app.full = false;
  app.pending.push(one);
  app.last = kind === "undo" ? null : { id: one.id, words };
  otherTabs.postMessage({ said: "entry" });
  tell(words);
  draw();
  send();
  return one;
}

async function send() {
  if (!app.day || app.gone) return;
  if (app.sending) { app.again = true; return; }
  app.sending = true;
  try {
    let more = true;
    while (more && !app.gone) {
      app.again = false;
      // One tab sends at a time.
      more = (await (navigator.locks ? navigator.locks.request(`floor${pk}`, sendOnce) : sendOnce())) || app.again;
    }
  } catch (problem) {
    notReached(problem);
  } finally {
    app.sending = false;
  }
  draw();
}

// True when there is more to send and this sending got somewhere.
async function sendOnce() {
  await readLog();
  const batch = oneSending(app.pending);
  const answer = await post("sync", { phone_now: new Date().toISOString(), actions: batch });
  if (!answer || app.gone) return false;
  learn(answer.now);
  app.day.state = answer.state;
  const why = new Map(answer.refused.map((one) => [one.id, one.why]));
  for (const one of batch.filter(({ id }) => why.has(id))) {
    await keep("refused", one.id, { ...one, why: why.get(one.id) });
    app.refused = [...app.refused.filter(({ id }) => id !== one.id), { ...one, why: why.get(one.id) }];
  }
  await keepDay();
  const gone = new Set([...answer.kept, ...why.keys()]);
  await forget("log", batch.map((one) => one.id).filter((id) => gone.has(id)));
  app.pending = app.pending.filter((one) => !gone.has(one.id));
  otherTabs.postMessage({ said: "sent", ids: [...gone] });
  draw();
  await learnOthers();
  await learnNews(answer.edition);
  return gone.size > 0 && app.pending.length > 0;
}

// Other hours, another run sheet, or called off: known within one sending, not when the day is asked for anew.
async function learnNews(edition) {
  if (edition && !app.gone && edition !== app.day.edition) await getDay();
}

// A child who walked in is in the books after a sending, with all that was said of them, and two records that became one
// have the number of one: whoever this phone does not list yet is asked for once.
async function learnOthers() {
  const { children, adults, state } = app.day;
  const listed = new Set([...children, ...adults].map((one) => one.who));
  const told = [...state.walk_ins.map((one) => one.child), ...Object.keys(state.stays).filter((who) => /^[cv]\d+$/.test(who))];
  const unknown = told.filter((who) => who && !listed.has(who)).join();
  if (!unknown || unknown === app.asked) return;
  await getDay();
  // Only once it was answered: signal that went away in between must not leave an allergy unread.
  app.asked = unknown;
}

// Together with what other tabs of this phone wrote.
async function readLog() {
  const logged = await allKept("log");
  const ids = new Set(logged.map((one) => one.id));
  app.pending = [...logged, ...app.pending.filter((one) => !ids.has(one.id))].sort((one, two) => one.seq - two.seq);
}

async function sendAgain(id) {
  const one = app.refused.find((entry) => entry.id === id);
  const { why, ...entry } = one;
  await keep("log", id, entry);
  await forget("refused", [id]);
  app.refused = app.refused.filter((other) => other.id !== id);
  app.pending.push(entry);
  send();
}

async function wipe(why) {
  const lost = app.pending.length;
  const words = lost ? `${why} ${capital(counted(lost, "entry", "entries"))} had not been sent: write on paper what you remember, for the office.` : why;
  otherTabs.postMessage({ said: "wiped", why: words });
  shut(words);
  await emptyStore();
}

// Nothing of the day stays in the page either, not even what was half typed.
function shut(words) {
  app.gone = true;
  clearTimeout(draftTimer);
  Object.assign(app, { day: null, pending: [], refused: [], draft: {}, last: null });
  key = undefined;
  $("emergency").close();
  $("emergency").replaceChildren();
  $("alarm").replaceChildren();
  $("alarm").className = "";
  $("foot").hidden = true;
  $("title").textContent = "Floor";
  $("page").replaceChildren(el("p", { className: "note", role: "status" }, words));
}

const LEFT = "This phone has left the floor page, and keeps nothing of it.";

// First everything is wiped, then the server is told, now or when there is signal again.
async function leavePhone() {
  await keepLeft(app.day.phone);
  await wipe(LEFT);
  app.leaving = true;
  await tellLeft();
}

// Until the server has heard that this phone left, it opens no day, whatever its cookie still allows. "open": a new link
// was opened on it since.
async function tellLeft() {
  try {
    const number = await leftPhone();
    if (number !== undefined) {
      const answer = await ask("leave", { phone: number });
      if (!answer.ok && answer.status !== 401) throw new Error(`The server answered ${answer.status}.`);
      app.leaving = false;
      await forgetLeft();
      if (answer.ok && (await answer.json()).open) return "open";
    }
    app.leaving = false;
    $("untold")?.remove();
    return "told";
  } catch (problem) {
    console.warn(problem);
    app.leaving = true;
    if (!$("untold")) $("page").append(el("p", { id: "untold", className: "note due" }, "There is no signal to tell the office yet. That happens by itself once there is; this phone shows nothing of the day until then."));
    // Where the browser can, also with this page closed.
    const worker = await navigator.serviceWorker?.getRegistration("/floor/");
    await worker?.sync?.register(`leave-${pk}-${await leftPhone()}`).catch(() => {});
    return "untold";
  }
}

function overNow() {
  return Boolean(app.day) && serverNow() >= new Date(app.day.wipe_at);
}

// Whenever the page comes back to life: first whether it may, then what is new.
async function wake() {
  if (app.leaving) { if ((await tellLeft()) === "open") location.reload(); return; }
  if (app.gone || !app.ready) return;
  if (overNow()) { await wipe(OVER); return; }
  if (!app.day || (performance.now() - (app.fetched || 0) > ANEW_MS && app.signal)) {
    try { await getDay(); } catch (problem) { notReached(problem); }
  }
  send();
}

otherTabs.addEventListener("message", async ({ data }) => {
  if (app.gone || !app.day) return;
  if (data.said === "wiped") { shut(data.why); return; }
  if (data.said === "sent") app.pending = app.pending.filter((one) => !data.ids.includes(one.id));
  if (data.said !== "entry") app.day = (await kept("day", "day")) || app.day;
  app.refused = await allKept("refused");
  await readLog();
  draw();
});
