// Two lines of the door that may be one child, as the server finds them (floor/rules/twins.py). Until somebody says that
// they are one or two, what is known of either stands at both; said to be one, they are one line.
import { sameName } from "./rules.js";

// The name's words in plain small letters: an apostrophe is nothing, any other mark stands between two words.
function wordsOf(name) {
  return name.toLowerCase().normalize("NFKD").replace(/[\p{M}'’‘`]/gu, "").replace(/[^\p{L}\p{N}]+/gu, " ").split(" ").filter(Boolean);
}

const letters = (words) => words.join("");
const inOrder = (words) => [...words].sort().join(" ");

// Whether one letter is wrong, missing, or swapped with its neighbor.
function oneSlip(one, other) {
  const [short, long] = [[...one], [...other]].sort((ours, theirs) => ours.length - theirs.length);
  const first = short.findIndex((letter, place) => letter !== long[place]);
  const at = first < 0 ? short.length : first;
  const rest = (word, from) => word.slice(from).join("");
  if (long.length - short.length === 1) return rest(short, at) === rest(long, at + 1);
  if (long.length !== short.length || at === short.length) return false;
  const swapped = short[at] === long[at + 1] && short[at + 1] === long[at] && rest(short, at + 2) === rest(long, at + 2);
  return swapped || rest(short, at + 1) === rest(long, at + 1);
}

function without(words, others) {
  const left = [...others];
  return words.filter((word) => !left.includes(word) || left.splice(left.indexOf(word), 1).length === 0);
}

function nameSlip(ours, theirs) {
  if (oneSlip(letters(ours), letters(theirs))) return true;
  const [mine, yours] = [without(ours, theirs), without(theirs, ours)];
  return mine.length <= 1 && yours.length <= 1 && oneSlip(letters(mine), letters(yours));
}

// Whether day and month are swapped, or one digit is wrong.
function dateSlip(one, other) {
  if (one.length !== other.length) return false;
  const swapped = one.slice(0, 4) === other.slice(0, 4) && one.slice(5, 7) === other.slice(8) && one.slice(8) === other.slice(5, 7);
  return swapped || [...one].filter((digit, place) => digit !== other[place]).length === 1;
}

// Why two lines may be one child ("same", "name", "date"), or null. Two who are both on the list are the office's matter.
export function perhapsOne(one, other) {
  const [ours, theirs] = [wordsOf(one.name), wordsOf(other.name)];
  if (!(one.walked || other.walked) || !ours.length || !theirs.length || !one.born || !other.born) return null;
  if (inOrder(ours) === inOrder(theirs) || letters(ours) === letters(theirs)) {
    return one.born === other.born ? "same" : dateSlip(one.born, other.born) ? "date" : null;
  }
  return one.born === other.born && nameSlip(ours, theirs) ? "name" : null;
}

// All pairs that may be one child. Only those are compared who have a birth date or a name in common.
export function pairsAmong(people) {
  const near = new Map();
  people.forEach((one, place) => {
    const words = wordsOf(one.name);
    for (const key of new Set([`born ${one.born}`, `words ${inOrder(words)}`, `letters ${letters(words)}`])) near.set(key, [...(near.get(key) || []), place]);
  });
  const found = new Map();
  for (const places of near.values()) {
    places.forEach((first, at) => places.slice(at + 1).forEach((second) => {
      if (found.has(`${first} ${second}`) || !(people[first].walked || people[second].walked)) return;
      const why = perhapsOne(people[first], people[second]);
      if (why) found.set(`${first} ${second}`, { at: [first, second], one: people[first], other: people[second], why });
    }));
  }
  return [...found.values()].sort((one, two) => one.at[0] - two.at[0] || one.at[1] - two.at[1]).map(({ one, other, why }) => ({ one, other, why }));
}

// Both texts, each said once.
export function both(one, other) {
  const [ours, theirs] = [one.toLowerCase(), other.toLowerCase()];
  return theirs.includes(ours) ? other : ours.includes(theirs) ? one : `${one}\n${other}`;
}

// Who must not pick up, of either, with what they look like at the same place of its list.
function barredOf(one, other) {
  const looks = (line) => line.must_not.map((name, at) => [name, line.looks?.[at] || null]);
  const rows = [...looks(one), ...looks(other).filter(([name]) => !one.must_not.some((ours) => sameName(ours, name)))];
  return { must_not: rows.map(([name]) => name), looks: rows.map(([, seen]) => seen) };
}

// None known counts only where nobody of the two has any.
const answerOf = (one, other, allergies) => (allergies ? "some" : [one, other].some((line) => line.allergies_answer === "none") ? "none" : "");

// What must be known at the door of two who may be one child: everything that is known of either.
function careOf(one, other) {
  const allergies = both(one.allergies, other.allergies);
  return {
    allergies, allergies_answer: answerOf(one, other, allergies), care_notes: both(one.care_notes, other.care_notes),
    not_cleared: one.not_cleared || other.not_cleared || null, ...barredOf(one, other), photos: one.photos && other.photos, unread: Boolean(one.unread || other.unread),
  };
}

// Two lines of one child. What the office knew before stands; the number is that of the line that came first.
function joinedLine(one, other) {
  const base = !other.walked && one.walked ? other : one;
  const more = base === one ? other : one;
  const people = [...base.pickup_people, ...more.pickup_people.filter((who) => !base.pickup_people.some((ours) => sameName(ours.name, who.name) && (ours.phone === who.phone || !who.phone)))];
  return {
    ...base, who: one.who, walked: Boolean(one.walked || other.walked), state: "held", group: base.group || more.group, pickup_people: people,
    waiver: more.waiver === "current" ? "current" : base.waiver, emergency: base.emergency.phone ? base.emergency : more.emergency, ...careOf(one, other),
  };
}

// The stays of two lines as of one: each coming and going once, in order of time.
export function joinedStays(one, other) {
  const taps = [...one, ...other].flatMap((stay) => [
    { out: false, at: stay.in, id: stay.in_id, pickup: "" }, ...(stay.in_again || []).map((more) => ({ ...more, out: false })),
    ...(stay.out === null ? [] : [{ out: true, at: stay.out, id: stay.out_id, pickup: stay.pickup }, ...(stay.out_again || []).map((more) => ({ ...more, out: true }))]),
  ]);
  taps.sort((ours, theirs) => Date.parse(ours.at) - Date.parse(theirs.at));
  const stays = [];
  for (const { out, at, id, pickup } of taps) {
    const last = stays.at(-1);
    const open = last && last.out === null;
    if (!out && open) last.in_again.push({ id, at, pickup: "" });
    else if (!out) stays.push({ in: at, out: null, pickup: "", in_id: id, out_id: null, in_again: [], out_again: [] });
    else if (open) Object.assign(last, { out: at, out_id: id, pickup });
    else if (last) last.out_again.push({ id, at, pickup });
  }
  return stays;
}

const keyOf = (one, other) => [one, other].sort().join(" ");

// What was said of each pair: nothing counts while one phone says this and another that.
function wordsOn(entries, nameOf) {
  const said = new Map();
  for (const entry of entries) {
    const { kind, who, other } = entry;
    const key = keyOf(nameOf(who), nameOf(other));
    const { word, rows } = said.get(key) || { word: kind, rows: [] };
    said.set(key, { word: word === kind ? kind : "differ", rows: [...rows, entry] });
  }
  return said;
}

// The lines and the state with all who are said to be one child joined, and the pairs of whom nobody has said it yet.
// `state.called`: by an old number, the number that the books have for the same person now.
export function withTwins(lines, state) {
  const named = new Map(Object.entries(state.called || {}));
  const now = (who) => { let name = who; while (named.has(name)) name = named.get(name); return name; };
  const known = new Map(lines.map((one) => [one.who, one]));
  // Walk-ins in the order in which they came, then the list: the first gives its number.
  const order = new Map([...state.walk_ins.map((one) => one.who), ...lines.map((one) => one.who)].map((who, place) => [who, place]).toReversed());
  let said = wordsOn(state.pairs || [], now);
  const people = [...known.values()].sort((one, other) => order.get(one.who) - order.get(other.who));
  for (const { one, other } of pairsAmong(people)) {
    const [ours, theirs] = [now(one.who), now(other.who)];
    if (ours !== theirs && said.get(keyOf(ours, theirs))?.word === "same") {
      const [first, second] = order.get(ours) <= order.get(theirs) ? [ours, theirs] : [theirs, ours];
      named.set(second, first);
      said = wordsOn(state.pairs, now);
    }
  }
  for (const one of people) {
    const name = now(one.who);
    if (name === one.who) continue;
    known.set(name, known.has(name) ? joinedLine(known.get(name), one) : { ...one, who: name });
    known.delete(one.who);
  }
  const out = { ...state, stays: {}, scores: state.scores.map((one) => ({ ...one, who: now(one.who) })), incidents: state.incidents.map((one) => ({ ...one, who: now(one.who) })) };
  for (const [who, stays] of Object.entries(state.stays)) {
    const name = now(who);
    out.stays[name] = out.stays[name] ? joinedStays(out.stays[name], stays) : stays;
  }
  out.waivers = Object.fromEntries(Object.entries(state.waivers || {}).map(([who, one]) => [now(who), one]));
  return { state: out, ...unsettled([...known.values()], said, now) };
}

function unsettled(lines, said, now) {
  const pairs = pairsAmong(lines).map((pair) => {
    const { word, rows } = said.get(keyOf(now(pair.one.who), now(pair.other.who))) || { word: "", rows: [] };
    return { ...pair, said: word, entries: rows };
  }).filter((pair) => pair.said !== "apart");
  const by = new Map(lines.map((one) => [one.who, one]));
  for (const { one, other } of pairs) {
    for (const [mine, yours] of [[one, other], [other, one]]) {
      const line = by.get(mine.who);
      const age = Math.min(line.counted ?? line.age, yours.age);
      by.set(mine.who, { ...line, ...careOf(line, yours), counted: age, twins: [...(line.twins || []), yours] });
    }
  }
  return { lines: [...by.values()], pairs };
}
