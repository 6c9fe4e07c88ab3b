// The floor page: starts it, and puts what is known now on the page after each tap. Nothing else runs by being imported.
import { makeClosing } from "./closing.js";
import { $, el, tell } from "./dom.js";
import { makeDoor } from "./door.js";
import { openEmergency } from "./emergency.js";
import { makeIncident } from "./incident.js";
import { makeLeaving } from "./leaving.js";
import { makeScores } from "./scores.js";
import { makeSheet } from "./sheet.js";
import { openStore, sweepOthers } from "./store.js";
import { makeSync, overNet } from "./sync.js";
import { makeTop } from "./top.js";
import { lookAt } from "./view.js";
import { makeWalkIn } from "./walkin.js";
import { gettext } from "./words.js";

const EVERY_MS = 20_000;

// The parts of the page, each with what it needs; `draw` puts the open one on the page.
function makePage(sync, { leavePhone, office }) {
  const { known } = sync;
  const floor = { ...sync, draw, look: () => lookAt(sync) };
  const top = makeTop(floor);
  const door = makeDoor(floor, { walkIn: makeWalkIn(floor), office });
  const parts = {
    door,
    sheet: makeSheet(floor),
    scores: makeScores(floor),
    happened: makeIncident(floor),
    closing: makeClosing(floor, { askAtDoor: door.askAtDoor, leavePhone }),
  };
  const openPart = () => (location.hash.slice(1) in parts ? location.hash.slice(1) : "door");

  function draw() {
    if (!known.day || known.gone) return;
    const view = floor.look();
    const part = openPart();
    top.paintHead(view);
    document.querySelectorAll(".tabs a").forEach((link) => {
      if (link.hash === `#${part}`) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    });
    for (const name of Object.keys(parts)) $(`panel-${name}`).hidden = name !== part;
    parts[part].paint(view);
    top.paintRest(view);
    const { dataset } = document.body;
    if (known.fetched) dataset.day = "fresh";
    dataset.drawn = String(Number(dataset.drawn || 0) + 1);
  }

  // When a part is opened, and when the page is: from its top, or where it says itself.
  const opened = () => { scrollTo({ top: 0, behavior: "instant" }); parts[openPart()].opened?.(); };

  return { draw, opened, tick: top.tick, woke: top.woke, openEmergency: () => openEmergency(floor) };
}

// Nothing of the day stays on the page.
function shut(words) {
  for (const id of ["emergency", "signing"]) {
    $(id).close();
    $(id).replaceChildren();
  }
  $("alarm").replaceChildren();
  $("alarm").className = "";
  $("foot").hidden = true;
  $("title").textContent = gettext("Floor");
  $("page").replaceChildren(el("p", { className: "callout", role: "status" }, words));
}

function untold(is) {
  if (!is) $("untold")?.remove();
  else if (!$("untold")) $("page").append(el("p", { id: "untold", className: "callout due" }, gettext("There’s no signal to tell our office yet. This phone will do it automatically when there is. Until then it shows nothing of this clinic.")));
}

// In place of the day, before there is one.
function instead(words) {
  $("wait").replaceChildren(el("p", {}, words));
}

async function start({ pk, office }) {
  if (!globalThis.indexedDB || !globalThis.crypto?.subtle) {
    instead(gettext("This browser can’t lock the data, so the floor page won’t open. Use its https address in a newer browser, or the printed sign-in sheet."));
    return;
  }
  const store = await openStore(pk);
  await sweepOthers(pk, Date.now());
  const ask = overNet(pk);
  const sync = makeSync({ pk, store, ask, page: { draw: () => page.draw(), tell, shut } });
  const leaving = makeLeaving({ pk, store, ask, sync, page: { untold } });
  const page = makePage(sync, { leavePhone: leaving.leavePhone, office });
  let ready = false;

  // Whenever the page comes back to life, and every so often while it lives.
  async function wake() {
    if (leaving.isUntold()) { if ((await leaving.tellLeft()) === "open") location.reload(); return; }
    if (ready) await sync.wake();
  }

  // Somebody looks at it again.
  const seen = () => { if (ready) page.woke(); wake(); };

  addEventListener("online", wake);
  addEventListener("pageshow", seen);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) seen(); });
  addEventListener("hashchange", () => { page.draw(); page.opened(); });
  $("emergency-open").addEventListener("click", page.openEmergency);
  $("undo").addEventListener("click", sync.takeBackLast);

  if (await leaving.hasLeft()) {
    leaving.shutAsLeft();
    // The lead may have opened a new link on it since: that one holds.
    if ((await leaving.tellLeft()) === "open") location.reload();
    else setInterval(wake, EVERY_MS);
    return;
  }
  await sync.recall();
  // Before anything is shown.
  if (await sync.wipedAsOver()) return;
  page.draw();
  await sync.tryDay();
  if (location.hash === "#sheet") page.opened();
  if (!sync.known.day && !sync.known.gone) instead(gettext("No signal, and today’s clinic isn’t on this phone yet. Open this page once where you have signal."));
  ready = true;
  sync.send();
  setInterval(wake, EVERY_MS);
  setInterval(page.tick, 1000);
}

async function keepShell(pk) {
  if (!navigator.serviceWorker) return;
  await navigator.serviceWorker.register("/floor/sw.js", { scope: "/floor/" });
  const ready = await navigator.serviceWorker.ready;
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = ({ data }) => { document.body.dataset.offline = data; };
  ready.active.postMessage({ keep: `/floor/${pk}/` }, [port2]);
}

const { pk, office } = document.body.dataset;
keepShell(pk).catch(() => { document.body.dataset.offline = "not kept"; });
start({ pk, office }).catch((problem) => {
  console.error(problem);
  instead(gettext("This browser can’t save the clinic on this phone. Use another browser or the printed sign-in sheet."));
});
