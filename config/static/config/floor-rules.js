// Pure rules of the floor page: no clock, no network, no page. The server has the same in clinics/rules; its tests compare.
"use strict";

const LEAST_ADULTS = 2;

// The age itself where a table covers it, else the nearest age below that it covers, else its lowest.
function nearestAge(age, rows) {
  if (rows.some(([low, high]) => low <= age && age <= high)) return age;
  const below = rows.map(([, high]) => high).filter((high) => high < age);
  return below.length ? Math.max(...below) : Math.min(...rows.map(([low]) => low));
}

// How many adults must be with children of these ages now: the strictest table, the youngest child's row for all.
function adultsNeeded(ages, ratio) {
  if (!ratio.tables.length) throw new RangeError("Name at least one supervision table.");
  if (!ages.length) return LEAST_ADULTS;
  return Math.max(...ratio.tables.map(({ rows }) => {
    const youngest = Math.min(...ages.map((age) => nearestAge(age, rows)));
    const [, , each] = rows.find(([low, high]) => low <= youngest && youngest <= high);
    return Math.max(LEAST_ADULTS, Math.ceil(ages.length / each));
  }));
}

// The server's state with this phone's unsent entries laid over it. Times of entries are the server's already.
function layOver(state, pending, ageOf = () => 0) {
  const out = structuredClone(state);
  const undone = new Set(pending.filter((one) => one.kind === "undo").map((one) => one.facts.of));
  for (const who of Object.keys(out.stays)) {
    out.stays[who] = out.stays[who].filter((stay) => !undone.has(stay.in_id));
    for (const stay of out.stays[who]) {
      if (stay.out_id && undone.has(stay.out_id)) Object.assign(stay, { out: null, out_id: null, collector: "" });
    }
  }
  out.scores = out.scores.filter((one) => !undone.has(one.id));
  out.incidents = out.incidents.filter((one) => !undone.has(one.id));
  out.notes = out.notes.filter((one) => !undone.has(one.id));
  out.conflicts = out.conflicts.filter((one) => !one.actions.some((id) => undone.has(id)));
  for (const { id, at, kind, facts } of [...pending].sort((one, two) => one.seq - two.seq)) {
    if (kind === "undo" || undone.has(id)) continue;
    const stays = "who" in facts ? out.stays[facts.who] || [] : [];
    const last = stays.at(-1);
    if (kind === "walk-in" && !out.walk_ins.some((one) => one.who === facts.who)) {
      out.walk_ins.push({ who: facts.who, name: facts.name, age: ageOf(facts.born), guardian: facts.guardian });
    }
    if ((kind === "in" || kind === "walk-in") && !(last && last.out === null)) {
      out.stays[facts.who] = [...stays, { in: at, out: null, collector: "", in_id: id, out_id: null }];
    } else if (kind === "out" && last && last.out === null) {
      Object.assign(last, { out: at, out_id: id, collector: facts.collector });
    } else if (kind === "score") {
      out.scores.push({ id, at, level: null, ...facts });
    } else if (kind === "incident") {
      out.incidents.push({ id, at, what: facts.what });
    } else if (kind === "slot") {
      out.slots[facts.slot] ??= at;
    } else if (kind === "note") {
      out.notes.push({ id, words: facts.words });
    } else if (kind === "hours") {
      out.minutes[facts.who] = facts.minutes;
    } else if (kind === "close") {
      out.closed_at ??= at;
    }
  }
  return out;
}

function inside(state) {
  return Object.keys(state.stays).filter((who) => state.stays[who].length && state.stays[who].at(-1).out === null);
}

// Whole years on a day, both written year-month-day.
function yearsOn(born, day) {
  const years = Number(day.slice(0, 4)) - Number(born.slice(0, 4));
  return Math.max(0, day.slice(5) < born.slice(5) ? years - 1 : years);
}
