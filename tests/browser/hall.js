// A hall for the floor page's store and sync: a server that answers as it is told, and a page that only listens.
import { makeLeaving } from "/static/floor/leaving.js";
import { openStore } from "/static/floor/store.js";
import { makeSync } from "/static/floor/sync.js";

const PK = 7;
const STATE = {
  stays: {}, walk_ins: [], scores: [], incidents: [], sheet: 0, slots: {}, notes: [], minutes: {}, conflicts: [],
  closed_at: null, said: [],
};

// A gate is shut until somebody opens it.
export function gate() {
  let open;
  const way = new Promise((yes) => { open = yes; });
  return { way, open };
}

export async function until(true_, patience = 10_000) {
  for (const end = performance.now() + patience; performance.now() < end;) {
    if (await true_()) return;
    await new Promise((yes) => { setTimeout(yes, 10); });
  }
  throw new Error(`It never came to this: ${true_}`);
}

// `heard`: all that happened, in order. `server` may be changed at any time; `server.log` is what it took.
export function makeServer(heard) {
  const server = { up: true, status: 200, why: "", ahead: 0, lists: true, refuses: [], unread: () => 0, log: [], edition: "1", day: {}, state: {}, open: false, before: null };
  const day = () => ({
    clinic: { zone: "America/New_York", starts_at: "2026-10-03T13:30:00Z", ends_at: "2026-10-03T15:30:00Z" },
    children: [], adults: [], phone: 3, edition: server.edition, state: { ...STATE, ...server.state },
    wipe_at: new Date(Date.now() + server.ahead + 3_600_000).toISOString(), ...server.day,
  });
  server.ask = async (name, body) => {
    const actions = (body.actions || []).map((text) => JSON.parse(text || "{}"));
    heard.push([name, ...actions.map((one) => one.id)]);
    await server.before?.(name);
    if (!server.up) throw new TypeError("Nobody answers.");
    const unread = name === "sync" && server.unread(actions);
    if (unread) return Response.json({ why: "We couldn’t read it." }, { status: unread });
    if (server.status !== 200) return Response.json({ why: server.why }, { status: server.status });
    const now = new Date(Date.now() + server.ahead).toISOString();
    if (name === "data") return Response.json({ ...day(), now });
    if (name === "leave") return Response.json({ left: true, open: server.open });
    const refuses = ({ facts }) => !facts || server.refuses.includes(facts.words);
    const taken = actions.filter((one) => !refuses(one));
    // Whatever comes twice is taken once, as the server does it.
    server.log.push(...taken.filter(({ id }) => !server.log.some((one) => one.id === id)));
    return Response.json({
      kept: server.lists ? taken.map((one) => one.id) : [], refused: actions.map(({ id }, place) => ({ id, place, why: "No." })).filter(({ place }) => refuses(actions[place])),
      state: day().state, edition: server.edition, now,
    });
  };
  return server;
}

// One page of the phone. `over` stands in front of its store: {keep} and the like.
export async function openPage({ server, heard, over = {} }) {
  const store = { ...(await openStore(PK)), ...over };
  const page = {
    draw: () => heard.push(["draw", sync.known.pending.length]),
    tell: (words) => heard.push(["tell", words]),
    shut: (words) => heard.push(["shut", words]),
    untold: (is) => heard.push(["untold", is]),
  };
  const sync = makeSync({ pk: PK, store, ask: server.ask, page });
  const leaving = makeLeaving({ pk: PK, store, ask: server.ask, sync, page });
  return { sync, store, leaving, note: (words) => sync.act("note", { words }, `Note: ${words}`) };
}

// A page that has the day.
export async function openHall({ over = {} } = {}) {
  const heard = [];
  const server = makeServer(heard);
  const page = await openPage({ server, heard, over });
  await page.sync.recall();
  await page.sync.tryDay();
  heard.length = 0;
  const said = (name) => heard.filter(([first]) => first === name).map(([, ...rest]) => rest);
  return { heard, server, said, ...page };
}

export const allSent = ({ sync, store }) => until(async () => sync.known.pending.length === 0 && (await store.count("log")) === 0);
