// What is kept on this phone: the day, entries not sent yet, entries not taken. Everything but the count is locked with
// a key that the browser never hands out; without the key the rest is noise.
"use strict";

const pk = document.body.dataset.pk;
const STORES = ["key", "day", "log", "refused", "seq"];
let db, key;

const done = (request) => new Promise((yes, no) => {
  request.onsuccess = () => yes(request.result);
  request.onerror = () => no(request.error);
});
const store = (name, mode = "readonly") => db.transaction(name, mode).objectStore(name);

async function openStore() {
  const request = indexedDB.open(`floor${pk}`, 1);
  request.onupgradeneeded = () => STORES.forEach((name) => request.result.createObjectStore(name));
  db = await done(request);
  db.onversionchange = () => db.close();
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

async function keep(name, id, value) {
  const locked = await lock(value);
  await done(store(name, "readwrite").put(locked, id));
}

async function kept(name, id) {
  const locked = await done(store(name).get(id));
  return locked ? unlock(locked) : null;
}

async function allKept(name) {
  const values = await Promise.all((await done(store(name).getAll())).map(unlock));
  return values.sort((one, two) => one.seq - two.seq);
}

async function forget(name, ids) {
  const rows = store(name, "readwrite");
  await Promise.all(ids.map((id) => done(rows.delete(id))));
}

// One transaction takes the next number, so that two tabs never use one twice.
async function nextSeq() {
  const numbers = store("seq", "readwrite");
  const seq = ((await done(numbers.get("seq"))) || 0) + 1;
  await done(numbers.put(seq, "seq"));
  return seq;
}

// When everything must be gone, by this phone's own clock: readable without the key, for the sweep below.
async function keepUntil(moment) {
  await done(store("seq", "readwrite").put(moment, "until"));
}

// Which phone left, by the server's number, until the server has heard of it: it outlives the wiping.
const leftPhone = () => done(store("seq").get("left"));
const keepLeft = (number) => done(store("seq", "readwrite").put(number, "left"));
const forgetLeft = () => done(store("seq", "readwrite").delete("left"));

// The count stays, or a number would be used twice; nobody can be read out of it.
async function emptyStore() {
  for (const name of ["key", "day", "log", "refused"]) await done(store(name, "readwrite").clear());
}

// Clinics of other days that this phone kept and nobody opened again.
async function sweepOthers(now) {
  for (const { name } of await (indexedDB.databases?.() || [])) {
    if (!/^floor\d+$/.test(name) || name === `floor${pk}`) continue;
    const other = await done(indexedDB.open(name));
    const until = other.objectStoreNames.contains("seq")
      ? await done(other.transaction("seq").objectStore("seq").get("until")) : 0;
    other.close();
    // Not waited for: a tab that still holds it lets go of it first.
    if (until && until <= now) indexedDB.deleteDatabase(name);
  }
}
