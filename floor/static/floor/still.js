// What keeps still under the thumb: a list does not close up while it is in use, and what has just moved or changed takes
// no tap for a moment, so that the second tap of a double tap falls on nobody.

// Browsers count two taps as one up to 300 ms, and a tap meant for what has just come up takes longer than this. Counted
// from the change, not from the tap: a slow phone shows the change late.
export const SETTLE_MS = 400;
// Who no longer belongs on the list leaves it after so long without a tap, a key or scrolling.
export const STILL_MS = 4000;
// Two keys of the list are 20 px apart: within this, no key comes to lie where another was.
const SLACK_PX = 8;

// Which ids are new, lie elsewhere, or say something else than before. Both: Map of id to {top, says}.
export function moved(before, after) {
  return [...after].filter(([id, { top, says }]) => {
    const was = before.get(id);
    return !was || was.says !== says || Math.abs(was.top - top) > SLACK_PX;
  }).map(([id]) => id);
}

// Whom a filter lists: who belongs, and who belonged since it was chosen or last at rest. `idle`: milliseconds since the
// list was last used; `pinned`: who stays all the same, since the keyboard is there.
export function heldNow(held, belongs, idle, pinned = []) {
  const stays = idle < STILL_MS ? [...held] : pinned.filter((who) => held.has(who));
  return new Set([...stays, ...belongs]);
}

// Milliseconds since a tap, a key or scrolling anywhere on the page.
export function makeIdle() {
  const idle = { since: performance.now() };
  const used = () => { idle.since = performance.now(); };
  for (const name of ["pointerdown", "keydown", "input", "scroll"]) addEventListener(name, used, { capture: true, passive: true });
  return () => performance.now() - idle.since;
}

// Watches the elements that `find` returns, each with an id; `top` says where one is, `says` what its taps would do.
// What settles takes no pointer (see .settling); keys and screen readers click without one, and are never kept waiting.
export function makeSettling({ find, top, says }) {
  const settling = { seen: new Map(), until: new Map() };

  // First of all when the page is drawn, so that what stands there and what is drawn agree on who settles.
  function expire() {
    for (const [id, until] of settling.until) {
      if (until > performance.now()) continue;
      settling.until.delete(id);
      document.getElementById(id)?.classList.remove("settling");
    }
  }

  function settle(...ids) {
    for (const id of ids) {
      settling.until.set(id, performance.now() + SETTLE_MS);
      document.getElementById(id)?.classList.add("settling");
    }
    // A little later, since a timer may come early.
    if (ids.length) setTimeout(expire, SETTLE_MS + 10);
  }

  function measure() {
    const now = new Map(find().map((node) => [node.id, { top: top(node), says: says(node) }]));
    settle(...moved(settling.seen, now));
    settling.seen = now;
  }

  return {
    expire, settle, measure,
    settleAll: () => settle(...settling.seen.keys()),
    // All that is shown from now on is new.
    forget: () => settling.seen.clear(),
    // The class of an element that is drawn anew.
    mark: (id) => (settling.until.has(id) ? "settling" : ""),
  };
}
