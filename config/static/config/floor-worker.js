// Keeps the floor page's shell for a gym without signal. What the day holds goes by POST and is never kept here.
const NAME = "floor-shell";
self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(NAME).then((cache) => cache.addAll(SHELL)));
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const path = new URL(request.url).pathname;
  if (request.method !== "GET" || !(SHELL.includes(path) || /^\/floor\/\d+\/$/.test(path))) return;
  event.respondWith(fetch(request).then((answer) => {
    if (answer.ok) {
      const copy = answer.clone();
      event.waitUntil(caches.open(NAME).then((cache) => cache.put(path, copy)));
    }
    return answer;
  }, () => caches.match(path).then((kept) => kept || Response.error())));
});
