// Whoever signs out leaves no floor page behind on this device: each one here is left, and the server's answer has the
// browser forget what it kept. What was entered and not sent is named first.
"use strict";

{
  const form = document.querySelector("[data-sign-out]");
  const FLOOR = /^floor(\d+)$/;
  let warned = false;

  const settled = (request) => new Promise((yes, no) => {
    request.onsuccess = () => yes(request.result);
    request.onerror = () => no(request.error);
  });

  async function unsent(name) {
    const db = await settled(indexedDB.open(name));
    try {
      return db.objectStoreNames.contains("log") ? await settled(db.transaction("log").objectStore("log").count()) : 0;
    } finally {
      db.close();
    }
  }

  async function leave(name) {
    new BroadcastChannel(name).postMessage({ said: "wiped", why: form.dataset.left });
    await fetch(`/floor/${FLOOR.exec(name)[1]}/leave/`, {
      method: "POST", body: "{}", headers: { "Content-Type": "application/json", "X-Floor": "1" },
    });
  }

  async function mayGo() {
    const floors = ((await globalThis.indexedDB?.databases?.()) || []).map(({ name }) => name).filter((name) => FLOOR.test(name));
    const counts = await Promise.all(floors.map(unsent));
    const lost = counts.reduce((sum, one) => sum + one, 0);
    if (lost && !warned) {
      warned = true;
      say(lost === 1 ? form.dataset.unsentOne : form.dataset.unsent.replace("{n}", lost));
      return false;
    }
    await Promise.all(floors.map(leave));
    return true;
  }

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    let go = true;
    try {
      go = await mayGo();
    } catch (problem) {
      // A browser that can't say what it keeps still lets people sign out.
      console.warn(problem);
    }
    if (go) form.submit();
  });
  // Before this the button signs out and leaves no floor page.
  form.dataset.signOut = "ready";
}
