// What a lead taps by chance on a phone without signal, and how two phones are settled when they meet.
import { everybody, layOver } from "/static/floor/rules.js";
import { withTwins } from "/static/floor/twins.js";

// What a phone shows that has the state and these unsent entries.
export function seen(state, pending) {
  const said = layOver(state, pending, () => 9);
  const own = new Map(pending.filter((one) => one.kind === "walk-in").map((one) => [one.facts.who, one.facts]));
  return withTwins(everybody([], said.walk_ins, (who) => own.get(who)), said);
}

function dice(seed) {
  let turn = seed;
  return (most) => {
    turn = (turn * 1103515245 + 12345) % 2147483648;
    return Math.floor(turn / 65536) % most;
  };
}

// In, twice in the same moment, out, undo, a walk-in called `name`, and what is said of two lines.
export function tapped({ state, seed, from, count, phone, name }) {
  const chance = dice(seed);
  const pending = [];
  const late = phone === "a" ? 0 : 70_000;
  for (let place = 0; place < count; place += 1) {
    const view = seen(state, pending);
    const everyone = [...new Set(["c0", "c1", "c2", ...view.lines.map((one) => one.who)])];
    const who = everyone[chance(everyone.length)];
    const stay = (view.state.stays[who] || []).at(-1) || null;
    const at = new Date(Date.parse(from) + place * 200_000 + late).toISOString().replace(".000Z", "+00:00");
    const say = (kind, facts) => {
      const seq = 1 + pending.length;
      pending.push({ id: `${phone}-${seed}-${String(seq).padStart(3, "0")}`, seq, at, kind, facts });
    };
    const [pair] = view.pairs;
    if (place === 1 && name) say("walk-in", { who: `w-${phone}`, name, born: "2017-03-04", guardian: "Ida", phone: "555-0140", signed: "Ida" });
    else if (pair && chance(3) === 0) say("same", { who: pair.one.who, other: pair.other.who });
    else if (stay && chance(4) === 0) say("undo", { of: stay.out === null ? stay.in_id : stay.out_id });
    else if (stay && stay.out === null) say("out", { who, pickup: ["Bram", "Petra"][chance(2)] });
    else {
      say("in", { who });
      if (chance(2)) say("in", { who });
    }
  }
  return pending;
}

// The lead settles all that the page shows: the first of two versions stands, and two lines are one child.
export function settled({ state, seed, from, round }) {
  const pending = [];
  const say = (kind, facts) => pending.push({ id: `s-${seed}-${round}-${pending.length}`, seq: 500 + 50 * round + pending.length, at: from, kind, facts });
  const view = seen(state, pending);
  for (const one of view.state.conflicts) {
    const wrong = one.versions.length > 1 ? one.versions.slice(1) : one.versions;
    wrong.forEach((said) => say("undo", { of: said.id }));
  }
  view.pairs.filter((one) => !one.said).forEach(({ one, other }) => say("same", { who: one.who, other: other.who }));
  return pending;
}
