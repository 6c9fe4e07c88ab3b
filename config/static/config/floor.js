// The floor page: what is kept on this phone (locked), what is sent, and the door.
"use strict";

const pk = document.body.dataset.pk;
const base = `/floor/${pk}/`;
const $ = (id) => document.getElementById(id);
let db, key, day, pending = [], refused = [], open = "", find = "", surely = "", typedName = "", warned = "", sending = false, signal = true;

const done = (request) => new Promise((yes, no) => {
  request.onsuccess = () => yes(request.result);
  request.onerror = () => no(request.error);
});
const store = (name, mode = "readonly") => db.transaction(name, mode).objectStore(name);

async function openStore() {
  const request = indexedDB.open(`floor${pk}`, 1);
  request.onupgradeneeded = () => ["key", "day", "log", "seq"].forEach((name) => request.result.createObjectStore(name));
  db = await done(request);
  // Made before the transaction, which does not wait; whichever tab wrote first wins.
  const fresh = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
  const keys = store("key", "readwrite");
  key = await done(keys.get("key"));
  if (!key) { await done(keys.add(fresh, "key")); key = fresh; }
}

async function lock(value) {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  return { iv, data: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, new TextEncoder().encode(JSON.stringify(value))) };
}

async function unlock({ iv, data }) {
  return JSON.parse(new TextDecoder().decode(await crypto.subtle.decrypt({ name: "AES-GCM", iv }, key, data)));
}

async function wipe(why) {
  for (const name of ["day", "log", "key"]) await done(store(name, "readwrite").clear());
  day = undefined; pending = [];
  $("alarm").replaceChildren(); $("kept").textContent = ""; $("leave").hidden = true;
  $("page").replaceChildren(make("p", why));
}

function make(tag, words = "", more = {}) {
  const node = document.createElement(tag);
  node.textContent = words;
  return Object.assign(node, more);
}

function button(words, press, name = "act big quiet") {
  const node = make("button", words, { type: "button", className: name });
  node.addEventListener("click", press);
  return node;
}

const serverNow = () => new Date(Date.now() + (day?.offset || 0));
const clock = (iso) => new Date(iso).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: day.clinic.zone });

async function post(name, body) {
  const answer = await fetch(base + name, {
    method: "POST", body: JSON.stringify(body), headers: { "Content-Type": "application/json", "X-Floor": "1" },
  });
  if (answer.status === 401) { await wipe((await answer.json()).why); return null; }
  if (!answer.ok) throw new Error(`The server answered ${answer.status}.`);
  return answer.json();
}

async function act(kind, facts) {
  // One transaction takes the next number, so that two tabs never use one twice.
  const numbers = store("seq", "readwrite");
  const seq = ((await done(numbers.get("seq"))) || 0) + 1;
  await done(numbers.put(seq, "seq"));
  const one = { id: crypto.randomUUID(), seq, at: new Date().toISOString(), kind, facts };
  const locked = await lock(one);
  await done(store("log", "readwrite").put(locked, one.id));
  pending.push(one); open = ""; surely = ""; typedName = ""; warned = "";
  draw();
  send();
}

async function send() {
  if (sending || !day) return;
  sending = true;
  try {
    const batch = pending.slice(0, 200);
    const answer = await post("sync/", { phone_now: new Date().toISOString(), actions: batch });
    if (!answer) return;
    signal = true;
    day.state = answer.state;
    day.offset = new Date(answer.now) - Date.now();
    refused.push(...answer.refused);
    const gone = new Set([...answer.kept, ...answer.refused.map((one) => one.id)]);
    await done(store("day", "readwrite").put(await lock(day), "day"));
    for (const id of gone) await done(store("log", "readwrite").delete(id));
    pending = pending.filter((one) => !gone.has(one.id));
  } catch (problem) {
    signal = false;
  } finally {
    sending = false;
    draw();
  }
  if (signal && pending.length) send();
}

function marks(child) {
  const p = make("p", `${child.age} `);
  const flag = (words, kind) => p.append(make("span", words, { className: `flag ${kind}` }), " ");
  if (child.allergies) flag(`! allergy: ${child.allergies}`, "due");
  if (child.waiver !== "in date") flag(`\u2715 waiver ${child.waiver}`, "stop");
  if (!child.photos) flag("\u2715 no photos", "plain");
  return p;
}

function leaving(child) {
  const box = make("div", "", { className: "going" });
  box.append(make("p", `Who collects ${child.given || child.name}?`));
  for (const name of child.must_not) box.append(make("p", `\u2715 MUST NOT COLLECT: ${name}`, { className: "flag stop" }));
  const barred = child.must_not.map((name) => name.toLowerCase());
  for (const one of child.collectors.filter((who) => !barred.includes(who.name.toLowerCase()))) {
    box.append(button(`${one.name} (${one.relation})`, () => act("out", { who: child.who, collector: one.name })));
  }
  const label = make("label", "Somebody else, by name ");
  const typed = make("input", "", { id: "else", className: "form-control", value: typedName, maxLength: 120 });
  // Kept, because a sending that comes back draws the page anew under the thumb.
  typed.addEventListener("input", () => { typedName = typed.value; });
  label.append(typed);
  box.append(label, button(surely ? `Yes, ${surely} collects` : "Somebody else collects", () => {
    const name = typed.value.trim();
    warned = barred.includes(name.toLowerCase()) ? `${name} must not collect. Keep the child and call the office: ${document.body.dataset.office}`
      : name ? "" : "Type the name of who collects.";
    if (warned) { surely = ""; draw(); return; }
    if (surely === name) act("out", { who: child.who, collector: name });
    else { surely = name; draw(); }
  }), button("Stays here", () => { open = ""; surely = ""; typedName = ""; warned = ""; draw(); }));
  if (warned) box.append(make("p", `\u2715 ${warned}`, { className: "note stop", role: "alert" }));
  return box;
}

function row(one, state, child) {
  const li = make("li", "", { id: `row-${one.who}` }), what = make("div", "", { className: "what" });
  what.append(make("b", one.name), child ? marks(one) : make("p", one.counts ? one.duty : `${one.duty}: ${one.why_not}`));
  if (child && one.care_notes) {
    const care = make("details", "", { id: `care-${one.who}`, open: $(`care-${one.who}`)?.open || false });
    care.append(make("summary", "Care note"), make("p", one.care_notes));
    what.append(care);
  }
  const last = (state.stays[one.who] || []).at(-1);
  li.append(what);
  if (open === one.who) li.append(leaving(one));
  else if (last && last.out === null) {
    li.append(button(`In ${clock(last.in)}: sign out`, () => {
      if (child) { open = one.who; draw(); } else act("out", { who: one.who, collector: "" });
    }, "act big in"));
  } else li.append(button(last ? `Out ${clock(last.out)}: sign in again` : "Sign in", () => act("in", { who: one.who })));
  return li;
}

function draw() {
  if (!day) return;
  const held = document.activeElement, at = held?.closest("li")?.id;
  const nth = at ? [...held.closest("li").querySelectorAll("button, summary, input")].indexOf(held) : -1;
  paint();
  // The keyboard stays where it was, though the list is new.
  if (at) [...($(at)?.querySelectorAll("button, summary, input") || [])].at(nth)?.focus({ preventScroll: true });
  else if (held?.id === "find") $("find").focus();
}

// Always one tap away, and open as long as somebody reads it.
function emergency() {
  const card = make("details", "", { id: "emergency", open: $("emergency")?.open || false });
  const facts = make("dl", "", { className: "facts" });
  for (const [name, words] of [["Call", "911"], ["Address", day.clinic.address], ["Defibrillator", day.emergency.defibrillator],
    ["First-aid kit", day.emergency.first_aid_kit], ["Hospital", day.emergency.hospital],
    ["Assembly point", day.emergency.assembly_point], ["Office", day.clinic.phone]]) {
    const pair = make("div");
    pair.append(make("dt", name), make("dd", words || "Not known: ask the center"));
    facts.append(pair);
  }
  card.append(make("summary", "Emergency: what and where"), facts);
  return card;
}

function paint() {
  const moved = pending.map((one) => ({ ...one, at: new Date(Date.parse(one.at) + (day.offset || 0)).toISOString() }));
  const today = day.clinic.starts_at.slice(0, 10);
  const state = layOver(day.state, moved, (born) => yearsOn(born, today));
  const here = new Set(inside(state));
  const walkIns = state.walk_ins.map((one) => ({ given: "", waiver: "in date", photos: false, allergies: "", care_notes: "",
    collectors: [{ name: one.guardian, relation: "guardian" }], must_not: [], ...one }));
  const known = new Set(walkIns.map((one) => one.name));
  const children = [...day.children.filter((one) => !known.has(one.name)), ...walkIns];
  const ages = children.filter((one) => here.has(one.who)).map((one) => one.age);
  const adults = day.adults.filter((one) => one.counts && here.has(one.who)).length;
  const needed = adultsNeeded(ages, day.ratio), missing = needed - adults;
  const words = missing > 0 && ages.length ? [`${missing} more ${missing === 1 ? "adult" : "adults"} needed now`,
    `${ages.length} ${ages.length === 1 ? "child" : "children"} in, youngest ${Math.min(...ages)}: ${needed} adults, ${adults} ${adults === 1 ? "is" : "are"} in. Keep the next child with the guardian, or pair groups until another adult arrives.`] : [];
  // Said again only when it changed, or a screen reader would repeat it at each tap.
  if ($("alarm").dataset.said !== words.join()) {
    $("alarm").dataset.said = words.join();
    $("alarm").replaceChildren(...(words.length ? [make("b", words[0]), make("p", words[1])] : []));
    $("alarm").className = words.length ? "alarm" : "";
  }
  $("title").textContent = day.clinic.title;
  const search = make("input", "", { id: "find", type: "search", className: "form-control", value: find });
  search.addEventListener("input", () => { find = search.value; draw(); $("find").focus(); });
  const list = (rows, child) => {
    const ul = make("ul", "", { className: "rows door" });
    ul.append(...rows.filter((one) => one.name.toLowerCase().includes(find.toLowerCase())).map((one) => row(one, state, child)));
    return ul;
  };
  $("page").replaceChildren(make("p", `${ages.length} of ${children.length} children in, ${adults} of ${needed} adults needed`),
    emergency(), make("label", "Find by name", { htmlFor: "find" }), search, make("h2", "Children"), list(children, true), make("h2", "Adults"), list(day.adults, false));
  $("kept").textContent = (pending.length ? `${signal ? "" : "No signal. "}${pending.length} ${pending.length === 1 ? "entry is" : "entries are"} kept on this phone and will be sent by ${pending.length === 1 ? "itself" : "themselves"}.` : "Everything is sent.")
    + refused.map((one) => ` Not taken: ${one.why}`).join("");
  $("leave").hidden = false;
}

async function start() {
  await openStore();
  const kept = await done(store("day").get("day"));
  if (kept) {
    day = await unlock(kept);
    for (const one of await done(store("log").getAll())) pending.push(await unlock(one));
    pending.sort((one, two) => one.seq - two.seq);
    if (serverNow() >= new Date(day.wipe_at)) return wipe("This clinic is over. What this phone kept of it is wiped.");
    draw();
  }
  try {
    const fresh = await post("data/", {});
    if (!fresh) return;
    day = { ...fresh, offset: new Date(fresh.now) - Date.now() };
    await done(store("day", "readwrite").put(await lock(day), "day"));
    draw();
  } catch (problem) {
    signal = false;
    if (!day) $("page").replaceChildren(make("p", "No signal, and nothing of the day is on this phone yet. Open the page once where there is signal."));
  }
  send();
  setInterval(() => {
    if (day && serverNow() >= new Date(day.wipe_at)) wipe("This clinic is over. What this phone kept of it is wiped.");
    else send();
  }, 20000);
}

addEventListener("online", send);
$("leave").addEventListener("click", async () => {
  if (pending.length) { $("kept").textContent = `${pending.length} entries are not sent yet. Leave when they are.`; return; }
  try { await post("leave/", {}); } catch (problem) { $("kept").textContent = "No signal. Leave this phone when there is."; return; }
  await wipe("This phone has left the floor page, and keeps nothing of it.");
});
navigator.serviceWorker?.register("/floor/sw.js", { scope: "/floor/" }).then(async () => {
  await navigator.serviceWorker.ready;
  await (await caches.open("floor-shell")).add(base);
  document.body.dataset.offline = "ready";
});
start();
