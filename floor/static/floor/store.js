// What is kept on this phone: the day, entries not sent yet, entries not taken. Everything but the count is locked with
// a key that the browser never hands out; without the key the rest is noise.

const STORES = ["key", "day", "log", "refused", "seq"];

const done = (request) => new Promise((yes, no) => {
  request.onsuccess = () => yes(request.result);
  request.onerror = () => no(request.error);
});

// A phone that is full takes what it is asked to keep and then keeps nothing: only when all is through is it there.
const through = ({ transaction }) => new Promise((yes, no) => {
  transaction.oncomplete = () => yes();
  transaction.onabort = () => no(transaction.error);
});

// What this phone keeps of the clinic of this number.
export async function openStore(pk) {
  const request = indexedDB.open(`floor${pk}`, 1);
  request.onupgradeneeded = () => STORES.forEach((name) => request.result.createObjectStore(name));
  const db = await done(request);
  db.onversionchange = () => db.close();
  const rows = (name, mode = "readonly") => db.transaction(name, mode).objectStore(name);
  const write = (name, change) => {
    const all = rows(name, "readwrite");
    change(all);
    return through(all);
  };
  let key = await takeKey();

  async function takeKey() {
    // Made before the transaction, which does not wait; whichever tab wrote first wins.
    const fresh = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
    const keys = rows("key", "readwrite");
    const first = await done(keys.get("key"));
    if (first) return first;
    keys.add(fresh, "key");
    await through(keys);
    return fresh;
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
    await write(name, (all) => all.put(locked, id));
  }

  async function kept(name, id) {
    const locked = await done(rows(name).get(id));
    return locked ? unlock(locked) : null;
  }

  // In the order in which they were entered.
  async function allKept(name) {
    const values = await Promise.all((await done(rows(name).getAll())).map(unlock));
    return values.sort((one, two) => one.seq - two.seq);
  }

  async function forget(name, ids) {
    if (ids.length) await write(name, (all) => ids.forEach((id) => all.delete(id)));
  }

  // One transaction takes the next number, so that two tabs never use one twice.
  async function nextSeq() {
    const numbers = rows("seq", "readwrite");
    const seq = ((await done(numbers.get("seq"))) || 0) + 1;
    numbers.put(seq, "seq");
    await through(numbers);
    return seq;
  }

  // The count stays, or a number would be used twice; nobody can be read out of it.
  async function empty() {
    for (const name of ["key", "day", "log", "refused"]) await write(name, (all) => all.clear());
  }

  return {
    keep, kept, allKept, forget, nextSeq, empty,
    count: (name) => done(rows(name).count()),
    // When everything must be gone, by this phone's own clock: readable without the key, for the sweep below.
    keepUntil: (moment) => write("seq", (all) => all.put(moment, "until")),
    // Which phone left, by the server's number, until the server has heard of it: it outlives the emptying.
    leftPhone: () => done(rows("seq").get("left")),
    keepLeft: (number) => write("seq", (all) => all.put(number, "left")),
    forgetLeft: () => write("seq", (all) => all.delete("left")),
    // From now on this page can read and keep nothing, whatever is still there.
    dropKey: () => { key = undefined; },
    // What can't be unlocked goes, and what is kept from now on has a key of its own.
    startAnew: async () => { await empty(); key = await takeKey(); },
  };
}

// Clinics of other days than `pk` that this phone kept and nobody opened again.
export async function sweepOthers(pk, now) {
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
