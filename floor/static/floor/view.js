// What the page shows: worked out from what the server said and what is still kept on this phone.
import { alarms } from "./alarms.js";
import { adultsNeeded, everybody, inside, isSound, layOver, yearsOn } from "./rules.js";
import { withTwins } from "./twins.js";
import { localeOf } from "./words.js";

// An adult with two duties stands on the list once. A day kept from before may say nothing of duties yet.
export function eachOnce(rows) {
  const adults = [];
  for (const { duties = [], cleared = [], ...one } of rows) {
    const same = adults.find((other) => other.who === one.who);
    if (same) {
      Object.assign(same, {
        duty: `${same.duty}, ${one.duty}`, duties: [...same.duties, ...duties], cleared: [...same.cleared, ...cleared],
        counts: same.counts || one.counts, why_not: same.why_not && one.why_not,
      });
    } else adults.push({ ...one, duties: [...duties], cleared: [...cleared] });
  }
  return adults;
}

// A person may have another number by now than the one that an entry of this phone gives.
function namedNow(facts, called = {}) {
  const names = ["who", "other"].filter((name) => called[facts[name]]).map((name) => [name, called[facts[name]]]);
  return { ...facts, ...Object.fromEntries(names) };
}

// `known` and the times are those of sync.js.
export function lookAt({ known, ours, clinicDay }) {
  const { day } = known;
  const entries = known.pending.filter(isSound).map((one) => ({ ...one, at: ours(one.at), facts: namedNow(one.facts, day.state.called) }));
  const said = layOver(day.state, entries, (born) => yearsOn(born, clinicDay()));
  const own = new Map(entries.filter((one) => one.kind === "walk-in").map((one) => [one.facts.who, one.facts]));
  const { state, lines: children, pairs } = withTwins(everybody(day.children, said.walk_ins, (who) => own.get(who)), said);
  const here = new Set(inside(state));
  children.sort((one, two) => one.name.localeCompare(two.name, localeOf()));
  const adults = eachOnce(day.adults);
  const inNow = children.filter((one) => here.has(one.who));
  const count = adults.filter((one) => one.counts);
  // Two who may be one count as two, with the younger age; so does one line that another phone says are two.
  const two = state.conflicts.filter((one) => one.code === "merged and apart").map((one) => one.who);
  const ages = [...inNow, ...inNow.filter((one) => two.includes(one.who))].map((one) => one.counted ?? one.age);
  const countIn = count.filter((one) => here.has(one.who));
  const adultsIn = adults.filter((one) => here.has(one.who));
  return {
    state, here, children, pairs, adults, inNow, ages, countIn,
    absent: adults.filter((one) => !here.has(one.who)),
    alarms: alarms({ ages, adults: adultsIn, ratio: day.ratio, needs: (day.needs || []).map((one) => one.code) }),
    others: adultsIn.filter((one) => !one.counts),
    needed: adultsNeeded(ages, day.ratio),
    people: new Map([...children, ...adults].map((one) => [one.who, one])),
    knocked: new Set(state.incidents.filter((one) => one.head && one.who).map((one) => one.who)),
  };
}
