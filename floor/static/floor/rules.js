// Pure rules of the floor page: no clock, no network, no page. The server has the same in clinics/rules; tests compare.

export const LEAST_ADULTS = 2;

export const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

// The age itself where a table covers it, else the nearest age below that it covers, else its lowest.
function nearestAge(age, rows) {
  if (rows.some(([low, high]) => low <= age && age <= high)) return age;
  const below = rows.map(([, high]) => high).filter((high) => high < age);
  return below.length ? Math.max(...below) : Math.min(...rows.map(([low]) => low));
}

// How many adults must be with children of these ages now: the strictest table, the youngest child's row for all.
// Rows may overlap; the strictest that covers an age counts.
export function adultsNeeded(ages, ratio) {
  if (!ratio.tables.length) throw new RangeError("No supervision table is named.");
  if (!ages.length) return LEAST_ADULTS;
  return Math.max(...ratio.tables.map((table) => adultsByTable(ages, table)));
}

// The same by one table, for at least one child.
export function adultsByTable(ages, { rows }) {
  const youngest = Math.min(...ages.map((age) => nearestAge(age, rows)));
  const each = Math.min(...rows.filter(([low, high]) => low <= youngest && youngest <= high).map((row) => row[2]));
  return Math.max(LEAST_ADULTS, Math.ceil(ages.length / each));
}

// Ages of children inside that a table has no row for: the page says how they were counted.
export function countedAs(ages, ratio) {
  return ratio.tables.flatMap(({ name, rows }) => [...new Set(ages)]
    .filter((age) => nearestAge(age, rows) !== age)
    .sort((one, two) => one - two)
    .map((age) => ({ table: name, age, as: nearestAge(age, rows) })));
}

// What an entry about a slot, minutes or the close says; false for any other. Slots are those of the sheet planned last.
function say(state, { kind, facts, at }) {
  if (kind === "slot") {
    const sheet = Number.isInteger(facts.sheet) ? facts.sheet : 0;
    if (sheet > (state.sheet || 0)) Object.assign(state, { sheet, slots: {} });
    if (sheet === (state.sheet || 0)) state.slots[facts.slot] ??= at;
  } else if (kind === "hours") state.minutes[facts.who] = facts.minutes;
  else if (kind === "close") state.closed_at ??= at;
  else return false;
  return true;
}

// Somebody's stays with some entries taken back: what another phone said of the same then counts.
function staysLeft(stays, undone, conflicts) {
  const left = [];
  for (const stay of stays) {
    if (undone.has(stay.in_id)) {
      const again = (stay.in_again || []).find((one) => !undone.has(one.id));
      if (!again) continue;
      Object.assign(stay, { in: again.at, in_id: again.id });
    }
    if (stay.out_id && undone.has(stay.out_id)) {
      const other = conflicts.filter((one) => one.code === "two pickup people" && one.actions[0] === stay.out_id)
        .map((one) => one.versions?.find((said) => said.id === one.actions[1]));
      const next = [...(stay.out_again || []), ...other].filter((one) => one && !undone.has(one.id))
        .sort((one, two) => Date.parse(one.at) - Date.parse(two.at))[0];
      Object.assign(stay, { out: next?.at ?? null, out_id: next?.id ?? null, pickup: next?.pickup ?? "" });
    }
    const last = left.at(-1);
    // Still in, so coming in once more said nothing new.
    if (last && last.out === null) Object.assign(last, { out: stay.out, out_id: stay.out_id, pickup: stay.pickup });
    else left.push(stay);
  }
  return left;
}

// The sort of an incident. A page from before there were sorts says only `head`, and a hit to the head wins.
export const SORTS = ["head", "breathing", "seizure", "allergy", "bleeding", "other"];
export const sortOf = ({ head, sort }) => (head === true ? "head" : SORTS.includes(sort) ? sort : "other");

// The server's state with this phone's unsent entries laid over it. Times of entries are the server's already.
export function layOver(state, pending, ageOf = () => 0) {
  const out = structuredClone(state);
  const undone = new Set(pending.filter((one) => one.kind === "undo").map((one) => one.facts.of));
  for (const who of Object.keys(out.stays)) out.stays[who] = staysLeft(out.stays[who], undone, out.conflicts);
  for (const list of ["scores", "incidents", "notes", "pairs"]) out[list] = (out[list] || []).filter((one) => !undone.has(one.id));
  out.waivers = Object.fromEntries(Object.entries(out.waivers || {}).filter(([, one]) => !undone.has(one.id)));
  out.conflicts = out.conflicts.filter((one) => !one.actions.some((id) => undone.has(id)));
  // With one of their entries taken back, slots, minutes and the close are what the others say: an earlier one may count.
  const said = (out.said || []).filter((one) => !undone.has(one.id));
  if (said.length < (out.said || []).length) {
    Object.assign(out, { sheet: 0, slots: {}, minutes: {}, closed_at: null });
    said.forEach((one) => say(out, one));
  }
  out.said = said;
  for (const { id, at, kind, facts } of [...pending].sort((one, two) => one.seq - two.seq)) {
    if (kind === "undo" || undone.has(id)) continue;
    const stays = "who" in facts ? out.stays[facts.who] || [] : [];
    const last = stays.at(-1);
    if (kind === "walk-in" && !out.walk_ins.some((one) => one.who === facts.who)) {
      out.walk_ins.push({ who: facts.who, child: "", name: facts.name, born: facts.born, age: ageOf(facts.born), guardian: facts.guardian });
    }
    if ((kind === "in" || kind === "walk-in") && !(last && last.out === null)) {
      out.stays[facts.who] = [...stays, { in: at, out: null, pickup: "", in_id: id, out_id: null }];
    } else if (kind === "out" && last && last.out === null) {
      Object.assign(last, { out: at, out_id: id, pickup: facts.pickup });
    } else if (kind === "score") {
      out.scores.push({ id, at, level: null, ...facts });
    } else if (kind === "incident") {
      const sort = sortOf(facts);
      out.incidents.push({ id, at, what: facts.what, who: facts.who || "", sort, head: sort === "head" });
    } else if (kind === "note") {
      out.notes.push({ id, words: facts.words });
    } else if (kind === "waiver") {
      const known = out.waivers[facts.who];
      if (!known || (known.how === "paper" && facts.how === "phone")) out.waivers[facts.who] = { id, how: facts.how };
    } else if (kind === "same" || kind === "apart") {
      out.pairs.push({ id, kind, who: facts.who, other: facts.other });
    } else if (say(out, { kind, facts, at })) {
      out.said.push({ id, at, kind, facts });
    }
  }
  return out;
}

export function inside(state) {
  return Object.keys(state.stays).filter((who) => state.stays[who].length && state.stays[who].at(-1).out === null);
}

// Children of the day and those who walked in, each once: a walk-in that the books know is that child, by its own number.
export function everybody(children, walkIns, ownFacts = () => null) {
  const known = new Map(children.map((one) => [one.who, one]));
  const made = new Set(walkIns.map((one) => one.child).filter(Boolean));
  const unknown = { given: "", waiver: "current", photos: true, allergies: "", allergies_answer: "", care_notes: "", must_not: [], emergency: { name: "", phone: "" } };
  return [
    ...children.filter((one) => !made.has(one.who)),
    ...walkIns.map((one) => {
      if (known.has(one.child)) return { ...known.get(one.child), who: one.who, state: "held", walked: true };
      const facts = ownFacts(one.who);
      const pickup_people = [{ name: one.guardian, relation: "guardian", phone: facts?.phone || "" }];
      if (facts?.pickup) pickup_people.push({ name: facts.pickup, relation: "", phone: "" });
      return {
        ...unknown, ...one, state: "held", group: "", walked: true, pickup_people, unread: !facts,
        ...(facts && { allergies: facts.allergies, allergies_answer: facts.no_allergies ? "none" : "", care_notes: facts.care_notes || "", photos: facts.photo, waiver: facts.signed || facts.paper ? "current" : "missing" }),
      };
    }),
  ];
}

// Whether two names are the same for the door: case, spaces and accents don't tell people apart.
export function sameName(one, two) {
  const plain = (name) => name.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().split(/\s+/).filter(Boolean).join(" ");
  return plain(one) === plain(two);
}

// Whole years on a day, both written year-month-day.
export function yearsOn(born, day) {
  const years = Number(day.slice(0, 4)) - Number(born.slice(0, 4));
  return Math.max(0, day.slice(5) < born.slice(5) ? years - 1 : years);
}

// Whole minutes that somebody was in, up to `now` while still in.
export function minutesIn(stays, now) {
  const spent = stays.reduce((sum, stay) => sum + Math.max(0, Date.parse(stay.out || now) - Date.parse(stay.in)), 0);
  return Math.min(24 * 60, Math.round(spent / 60000));
}

// Par-zero free throws: clean make -1, make off the rim 0, miss +1 (common practice, no source).
const PAR = { clean: -1, rim: 0, miss: 1 };
export const parZero = (shots) => shots.reduce((sum, shot) => sum + PAR[shot], 0);

// One shot of the step-back ladder: three makes and one steps back. `score` is what this level came to, else null.
const LADDER_MAKES = 3;
export function ladderShot({ level, made, tried }, hit) {
  const now = { level, made: made + (hit ? 1 : 0), tried: tried + 1 };
  if (now.made < LADDER_MAKES) return { draft: now, score: null };
  return { draft: { level: level + 1, made: 0, tried: 0 }, score: { level, made: now.made, tried: now.tried } };
}

// Where the run sheet is at `minute` since the clinic's start. `begun`: slot number → minute when the lead started it;
// what follows moves by the same. {now, next} are numbers or -1, `starts` all starts, `left` minutes until the next one.
export function slotAt(slots, begun, minute) {
  let late = 0;
  const starts = slots.map((slot, number) => {
    const start = begun[number] ?? slot.start + late;
    late = start - slot.start;
    return start;
  });
  const now = starts.reduce((last, start, number) => (start <= minute ? number : last), -1);
  const next = now + 1 < slots.length ? now + 1 : -1;
  const end = next >= 0 ? starts[next] : slots.length ? starts[now] + slots[now].minutes : 0;
  return { now, next, starts, left: end - minute };
}

// Where a day's sheet is; a slot that the lead started late or early moves all that follow. `began`: the sheet on which
// slots were started, and when.
export function whereNow({ clinic, sheet }, began, minute) {
  const slots = sheet?.slots || [];
  const begun = {};
  // With another sheet than the one they were tapped on, numbers mean other slots; planned later, it knows what was late.
  if (began.sheet && began.sheet !== sheet?.pk) return slotAt(slots, begun, minute);
  const start = Date.parse(clinic.starts_at);
  for (const [number, at] of Object.entries(began.slots)) begun[number] = (Date.parse(at) - start) / 60000;
  return slotAt(slots, begun, minute);
}

// What the clock shows: `code`, the slots `now` and `next`, and `left`, minutes until what comes then. Where the run sheet
// ends before the clinic, it goes on to the clinic's end; a sheet that was started late doesn't put that off.
export function whatNow(day, began, minute) {
  const end = (Date.parse(day.clinic.ends_at) - Date.parse(day.clinic.starts_at)) / 60000;
  const where = whereNow(day, began, minute);
  const at = (code, left) => ({ code, now: where.now, next: where.next, left });
  if (day.clinic.called_off) return at("cancelled", Infinity);
  const any = Boolean(day.sheet?.slots.length);
  if (minute >= end) return at("ended", 0);
  if (!any) return minute < 0 ? at("before", -minute) : at("no sheet", end - minute);
  if (where.now < 0) return at("before sheet", where.left);
  if (where.next >= 0) return at("slot", Math.min(where.left, end - minute));
  return where.left > 0 ? at("last slot", Math.min(where.left, end - minute)) : at("sheet done", end - minute);
}

// The one thing that a slot has everyone do, or "" where groups go to stations; and how many groups.
export function slotParts(slot) {
  const names = [...new Set(Object.values(slot.stations).map((one) => one.name))];
  const groups = Object.keys(slot.stations).length;
  return { name: names.length === 1 ? names[0] : "", groups };
}

// Minutes and seconds as a clock shows them; hours only where there are some.
export function asClock(minutes) {
  const seconds = Math.max(0, Math.ceil(minutes * 60));
  const two = (number) => String(number).padStart(2, "0");
  const [hours, rest] = [Math.floor(seconds / 3600), seconds % 3600];
  return hours ? `${hours}:${two(Math.floor(rest / 60))}:${two(rest % 60)}` : `${Math.floor(rest / 60)}:${two(rest % 60)}`;
}

// An entry as it travels: a text of its own, so that one that can’t be read leaves the others whole. "" if none can be made.
export function written(one) {
  try { return JSON.stringify(one) ?? ""; } catch { return ""; }
}

// Whether an entry is of the shape that the page gives each. Another one is only sent, and comes back with the reason.
export function isSound({ at, kind, facts }) {
  return !Number.isNaN(Date.parse(at)) && facts !== null && typeof facts === "object"
    && Object.values(facts).every((one) => one === null || typeof one !== "object")
    && (kind !== "walk-in" || ["who", "name", "born", "guardian"].every((name) => typeof facts[name] === "string"));
}

// The first entries that fit one sending, as they travel.
export const MOST_ENTRIES = 200;
const MOST_LETTERS = 250_000;
export function oneSending(pending, most = MOST_ENTRIES) {
  const texts = pending.slice(0, most).map(written);
  let letters = 0;
  const fits = texts.findIndex((text) => (letters += JSON.stringify(text).length) > MOST_LETTERS);
  return texts.slice(0, fits < 0 ? most : Math.max(1, fits));
}

// What the server says of a batch: ids of those it kept, and [entry, why] of those it refused. It names these by their
// place; before, it named them by their id.
export function sorted(batch, { kept, refused }) {
  const why = new Map(refused.map((one) => [one.place ?? batch.findIndex(({ id }) => id === one.id), one.why]));
  return {
    kept: batch.filter(({ id }, place) => !why.has(place) && kept.includes(id)).map(({ id }) => id),
    refused: batch.map((one, place) => [one, why.get(place)]).filter(([, said]) => said !== undefined),
  };
}
