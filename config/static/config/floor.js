// The floor page: what is known now, put on the page after each tap; tabs, the clock, the emergency card, start.
"use strict";

const PARTS = {
  door: { paint: paintDoor },
  sheet: { paint: paintSheet },
  scores: { paint: paintScores },
  happened: { paint: paintHappened },
  closing: { paint: paintClosing },
};
const openPart = () => (location.hash.slice(1) in PARTS ? location.hash.slice(1) : "door");

// Everything the page shows, from what the server said and what is still kept here.
function look() {
  const { day } = app;
  const entries = app.pending.map((one) => ({ ...one, at: ours(one.at) }));
  const state = layOver(day.state, entries, (born) => yearsOn(born, clinicDay()));
  // The clock ticks without working all of this out again.
  app.begun = { sheet: state.sheet, slots: state.slots };
  const here = new Set(inside(state));
  const own = new Map(entries.filter((one) => one.kind === "walk-in").map((one) => [one.facts.who, one.facts]));
  const children = everybody(day.children, state.walk_ins, (who) => own.get(who));
  children.sort((one, two) => one.name.localeCompare(two.name, "en"));
  const adults = [];
  for (const one of day.adults) {
    const same = adults.find((other) => other.who === one.who);
    if (same) Object.assign(same, { duty: `${same.duty}, ${one.duty}`, counts: same.counts || one.counts, why_not: same.why_not && one.why_not });
    else adults.push({ ...one });
  }
  const inNow = children.filter((one) => here.has(one.who));
  const count = adults.filter((one) => one.counts);
  const ages = inNow.map((one) => one.age);
  const countIn = count.filter((one) => here.has(one.who));
  return {
    state, here, children, adults, inNow, ages, countIn,
    absent: count.filter((one) => !here.has(one.who)).map((one) => one.name),
    others: adults.filter((one) => !one.counts && here.has(one.who)),
    needed: adultsNeeded(ages, day.ratio),
    people: new Map([...children, ...adults].map((one) => [one.who, one])),
    knocked: new Set(state.incidents.filter((one) => one.head && one.who).map((one) => one.who)),
  };
}

function draw() {
  if (!app.day || app.gone) return;
  const view = look();
  const part = openPart();
  paintAlarm(view);
  paintTop(view);
  document.querySelectorAll(".tabs a").forEach((link) => {
    if (link.hash === `#${part}`) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  });
  for (const name of Object.keys(PARTS)) $(`panel-${name}`).hidden = name !== part;
  PARTS[part].paint(view);
  paintFoot();
  paintClock();
  document.body.dataset.drawn = String(Number(document.body.dataset.drawn || 0) + 1);
}

function paintAlarm({ ages, countIn, needed, absent }) {
  const warning = ratioWarning({ ages, adults: countIn.length, needed, absent });
  $("alarm").className = warning ? "alarm" : "";
  // Touched only when it changed, or a screen reader would repeat it at each tap.
  refill($("alarm"), warning ? [el("b", {}, warning.head), el("p", {}, warning.body)] : []);
}

function paintTop({ children, inNow, countIn, others, needed, ages }) {
  $("title").textContent = app.day.clinic.title;
  $("wait").hidden = true;
  for (const id of ["whole", "foot"]) $(id).hidden = false;
  const places = children.filter((one) => one.state !== "waiting").length;
  refill($("tally"),
    el("p", {}, el("b", {}, String(inNow.length)), ` of ${counted(places, "child", "children")} in`),
    el("p", {}, el("b", {}, String(countIn.length)), ` of ${needed} adults in`, others.length ? el("span", { className: "aside" }, ` and ${counted(others.length, "helper", "helpers")}`) : null),
    countedAs(ages, app.day.ratio).map((words) => el("p", { className: "aside whole" }, words)));
}

function paintFoot() {
  const count = app.pending.length;
  const why = app.full ? "This phone has no room left. The last tap is not kept: write it on paper. "
    : app.lost ? `${counted(app.lost, "entry that was kept here can’t", "entries that were kept here can’t")} be read any more: look at the list, and tap again what is missing. `
    : app.signal ? "" : app.trouble ? `${app.trouble} ` : "No signal. ";
  const waiting = count
    ? `${counted(count, "entry is", "entries are")} kept on this phone and will be sent by ${count === 1 ? "itself" : "themselves"}.`
    : app.signal ? "Everything is sent." : "Nothing waits to be sent.";
  const refused = app.refused.length ? ` ${counted(app.refused.length, "entry was", "entries were")} not taken: see Closing.` : "";
  if ($("kept").textContent !== why + waiting + refused) $("kept").textContent = why + waiting + refused;
  $("undo").hidden = !app.last;
  $("undo").textContent = app.last ? `Take back: ${app.last.words}` : "";
}

let told = -1;
function paintClock() {
  if (!app.day || app.gone) return;
  const { day } = app;
  const minute = (serverNow() - new Date(day.clinic.starts_at)) / 60000;
  const slots = day.sheet?.slots || [];
  const where = whereNow(minute);
  const name = (number) => slotName(slots[number]);
  const atEnd = (new Date(day.clinic.ends_at) - new Date(day.clinic.starts_at)) / 60000;
  let [first, second, left] = [`Ends at ${clockAt(day.clinic.ends_at)}`, "No run sheet is planned", atEnd - minute];
  if (slots.length && where.now < 0) [first, second, left] = [`Starts with ${name(0)}`, "", where.left];
  else if (slots.length) [first, second, left] = [`Now: ${name(where.now)}`, where.next < 0 ? "then the end" : `then ${name(where.next)}`, where.left];
  else if (minute < 0) [first, left] = [`Starts at ${clockAt(day.clinic.starts_at)}`, -minute];
  if (day.clinic.called_off) [first, second, left] = ["The office has called this clinic off", `${day.clinic.called_off}. Sign everybody out`, Infinity];
  else if (minute >= atEnd && (!slots.length || left <= 0)) [first, second, left] = [`Ended at ${clockAt(day.clinic.ends_at)}`, "Sign everybody out, then close the day", 0];
  refill($("now"), el("p", {}, first, second ? el("br") : null, second), el("b", { id: "clock" }, left >= 600 ? "" : left >= 100 ? `${Math.ceil(left)} min` : asClock(left)));
  if (where.next >= 0 && where.left <= 2 && where.left > 0 && told !== where.next) {
    told = where.next;
    tell(`Next in 2 minutes: ${name(where.next)}.`);
  }
}

// Built when it is opened, so that it is always of the newest day.
function openEmergency() {
  const { clinic, emergency } = app.day;
  const seen = emergency.plan_seen_on && new Date(`${emergency.plan_seen_on}T12:00:00Z`)
    .toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
  const rows = [["You are at", clinic.address], ["Way in", clinic.arrival],
    ["Defibrillator", emergency.defibrillator], ["First-aid kit", emergency.first_aid_kit], ["Hospital", emergency.hospital],
    ["Assembly point", emergency.assembly_point],
    ...(clinic.door || []).filter((one) => one.phone).map((one) => [`${one.name}, center`, tel(one.phone)]),
    ["Our office", clinic.phone ? tel(clinic.phone) : ""], ["Plan last seen", seen]];
  $("emergency").replaceChildren(
    el("h2", { id: "emergency-head" }, "Emergency"),
    el("a", { className: "act big stop", href: "tel:911" }, "Call 911"),
    el("dl", { className: "facts" }, rows.map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words || "Not known: ask the center")))),
    button("Close", () => $("emergency").close()));
  $("emergency").showModal();
}

async function start() {
  if (!globalThis.indexedDB || !globalThis.crypto?.subtle) {
    $("wait").replaceChildren(el("p", {}, "This browser can’t keep the day locked, so the floor page stays shut. Open it by its https address in a newer browser, or use the printed door list."));
    return;
  }
  await openStore();
  await sweepOthers(Date.now());
  if ((await leftPhone()) !== undefined) {
    shut(LEFT);
    // The lead may have opened a new link on it since: that one holds.
    if ((await tellLeft()) === "open") location.reload();
    else setInterval(wake, EVERY_MS);
    return;
  }
  await readKept();
  if (app.day) {
    // Before anything is shown.
    if (overNow()) { await wipe(OVER); return; }
    draw();
  }
  try {
    await getDay();
  } catch (problem) {
    notReached(problem);
    if (!app.day) $("wait").replaceChildren(el("p", {}, "No signal, and nothing of the day is on this phone yet. Open the page once where there is signal."));
  }
  app.ready = true;
  send();
  setInterval(wake, EVERY_MS);
  setInterval(paintClock, 1000);
}

// What can't be unlocked is noise: it goes, and the page says what that cost.
async function readKept() {
  try {
    const [day, pending, refused, draft] = await Promise.all([kept("day", "day"), allKept("log"), allKept("refused"), kept("day", "drafts")]);
    if (day) Object.assign(app, { day, pending, refused, draft: draft || {} });
  } catch (problem) {
    console.warn(problem);
    app.lost = (await done(store("log").count())) + (await done(store("refused").count()));
    await emptyStore();
    db.close();
    await openStore();
  }
}

async function keepShell() {
  if (!navigator.serviceWorker) return;
  await navigator.serviceWorker.register("/floor/sw.js", { scope: "/floor/" });
  const ready = await navigator.serviceWorker.ready;
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = ({ data }) => { document.body.dataset.offline = data; };
  ready.active.postMessage({ keep: `/floor/${pk}/` }, [port2]);
}

addEventListener("online", wake);
addEventListener("pageshow", wake);
document.addEventListener("visibilitychange", () => { if (!document.hidden) wake(); });
addEventListener("hashchange", () => { draw(); scrollTo(0, 0); });
$("emergency-open").addEventListener("click", openEmergency);
$("undo").addEventListener("click", () => {
  const { last } = app;
  if (last) { app.last = null; act("undo", { of: last.id }, `Taken back: ${last.words}`); }
});
keepShell().catch(() => { document.body.dataset.offline = "not kept"; });
start().catch((problem) => {
  console.error(problem);
  $("wait").replaceChildren(el("p", {}, "This browser can’t keep the day on this phone. Open the page in another browser, or use the printed door list."));
});
