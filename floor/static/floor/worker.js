// Keeps the floor page's shell for a gym without signal. SHELL and EDITION stand above, written by the server.
// What the day holds goes by POST and is never kept here.
"use strict";

const NAME = `floor-${EDITION}`;
const PAGE = /^\/floor\/\d+\/$/;

const others = async () => (await caches.keys()).filter((name) => name.startsWith("floor-") && name !== NAME);

// A page belongs to the scripts of its own edition, so a new worker fetches both or takes nothing over.
async function keepAll() {
  const pages = new Set();
  for (const name of await others()) {
    for (const request of await (await caches.open(name)).keys()) {
      const path = new URL(request.url).pathname;
      if (PAGE.test(path)) pages.add(path);
    }
  }
  const cache = await caches.open(NAME);
  await cache.addAll([...SHELL, ...pages].map((path) => new Request(path, { cache: "reload" })));
}

self.addEventListener("install", (event) => {
  event.waitUntil(keepAll().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(others()
    .then((names) => Promise.all(names.map((name) => caches.delete(name))))
    .then(() => self.clients.claim()));
});

// The page asks to be kept once it runs; it is told when it is.
self.addEventListener("message", (event) => {
  const path = String(event.data.keep);
  if (!PAGE.test(path)) return;
  event.waitUntil(caches.open(NAME)
    .then((cache) => cache.match(path).then((kept) => kept || cache.add(new Request(path, { cache: "reload" }))))
    .then(() => event.ports[0].postMessage("kept"), () => event.ports[0].postMessage("not kept")));
});

// Kept first: a hall with one bar of signal must not wait for a server it can't reach.
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin || !(SHELL.includes(pathname) || PAGE.test(pathname))) return;
  event.respondWith(caches.open(NAME)
    .then((cache) => cache.match(pathname))
    .then((kept) => kept || fetch(request)));
});

// A phone that left without signal, its page closed since: the server hears of it as soon as there is some.
self.addEventListener("sync", (event) => {
  const [, pk, phone] = /^leave-(\d+)-(\d+)$/.exec(event.tag) || [];
  if (!pk) return;
  event.waitUntil(fetch(`/floor/${pk}/leave/`, {
    method: "POST", body: JSON.stringify({ phone: Number(phone) }),
    headers: { "Content-Type": "application/json", "X-Floor": "1" },
  }).then((answer) => { if (!answer.ok && answer.status !== 401) throw new Error(`The server answered ${answer.status}.`); }));
});
