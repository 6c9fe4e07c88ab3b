// What the page shows: worked out from what the server said and what is still kept on this phone.
import { adultsNeeded, everybody, inside, isSound, layOver, yearsOn } from "./rules.js";
import { localeOf } from "./words.js";

// An adult with two duties stands on the list once.
function eachOnce(rows) {
  const adults = [];
  for (const one of rows) {
    const same = adults.find((other) => other.who === one.who);
    if (same) Object.assign(same, { duty: `${same.duty}, ${one.duty}`, counts: same.counts || one.counts, why_not: same.why_not && one.why_not });
    else adults.push({ ...one });
  }
  return adults;
}

// `known` and the times are those of sync.js.
export function lookAt({ known, ours, clinicDay }) {
  const { day } = known;
  const entries = known.pending.filter(isSound).map((one) => ({ ...one, at: ours(one.at) }));
  const state = layOver(day.state, entries, (born) => yearsOn(born, clinicDay()));
  const here = new Set(inside(state));
  const own = new Map(entries.filter((one) => one.kind === "walk-in").map((one) => [one.facts.who, one.facts]));
  const children = everybody(day.children, state.walk_ins, (who) => own.get(who));
  children.sort((one, two) => one.name.localeCompare(two.name, localeOf()));
  const adults = eachOnce(day.adults);
  const inNow = children.filter((one) => here.has(one.who));
  const count = adults.filter((one) => one.counts);
  const ages = inNow.map((one) => one.age);
  const countIn = count.filter((one) => here.has(one.who));
  return {
    state, here, children, adults, inNow, ages, countIn,
    absent: count.filter((one) => !here.has(one.who)).map((one) => one.name),
    others: adults.filter((one) => !one.counts && here.has(one.who)),
    needed: adultsNeeded(ages, day.ratio),
    people: new Map([...children, ...adults].map((one) => [one.who, one])),
    knocked: new Set(state.incidents.filter((one) => one.head && one.who).map((one) => one.who)),
  };
}
