// What is wrong with who is looking after the children at this moment: pure. The server has the same in
// floor/rules/alarms.py; tests compare.
import { LEAST_ADULTS, adultsByTable, adultsNeeded } from "./rules.js";

// By duty, what its lack is called. Each is a person of its own, as where shifts are made: a lead who could also treat an
// injury would leave the children without a lead.
const NEEDED_DUTIES = { lead: "no lead", first_aider: "no first aider", door: "no door" };

// Every reason for alarm, the most dangerous first; none while no child is in. `ages`: of the children inside; `adults`:
// those who are in, each with `counts` (never a helper under 18) and `cleared`, the codes of the duties that they fill;
// `needs`: the codes of the duties that the clinic has to have. No lead or no first aider is worse than one adult fewer,
// and that is worse than no one at the door: the order in which duties are filled.
export function alarms({ ages, adults, ratio, needs }) {
  if (!ages.length) return [];
  const needed = adultsNeeded(ages, ratio);
  const count = adults.filter((one) => one.counts).length;
  const filled = new Set(adults.flatMap((one) => one.cleared));
  const missing = Object.keys(NEEDED_DUTIES).filter((duty) => needs.includes(duty) && !filled.has(duty)).map((duty) => NEEDED_DUTIES[duty]);
  const found = [];
  if (count === 0) found.push({ code: "no adult", needed });
  else if (count < LEAST_ADULTS) found.push({ code: "one adult", needed });
  found.push(...missing.filter((code) => code !== "no door").map((code) => ({ code })));
  // Up to the least that any clinic needs, the two above say it.
  if (needed > Math.max(count, LEAST_ADULTS)) {
    const tables = ratio.tables.filter((table) => adultsByTable(ages, table) === needed).map(({ name, whose }) => ({ name, whose }));
    found.push({ code: "few adults", missing: needed - count, needed, adults: count, youngest: Math.min(...ages), tables });
  }
  return [...found, ...missing.filter((code) => code === "no door").map((code) => ({ code }))];
}

// The duty that a reason is about, or "".
export const dutyOf = ({ code }) => Object.keys(NEEDED_DUTIES).find((duty) => NEEDED_DUTIES[duty] === code) || "";
