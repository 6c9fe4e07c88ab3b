// Whether a clinic has room for one child more: its ages, its groups, its spots, and the fire limit of its space. Pure.

const bandOf = (age, bands) => bands.find(([low, high]) => low <= age && age <= high) || null;

// The ages of a clinic from `bands`, [youngest, oldest, spots] each, as ranges that do not touch: [[5, 7], [10, 12]].
export function agesOf(bands) {
  const ranges = [];
  for (const [low, high] of [...bands].sort((one, two) => one[0] - two[0])) {
    const last = ranges.at(-1);
    if (last && low <= last[1] + 1) last[1] = Math.max(last[1], high);
    else ranges.push([low, high]);
  }
  return ranges;
}

export const outsideAges = (age, bands) => bands.length > 0 && !bandOf(age, bands);

// Why no adult is planned for a child in `slot` of `sheet`: "no group", "no adult", or "" where one is. A sheet made
// before anyone registered places no child, and then says nothing of one.
export function withoutAdult({ group }, sheet, slot) {
  if (!sheet?.slots.length || !sheet.groups.some((one) => one.children.length)) return "";
  if (!group) return "no group";
  return sheet.slots[Math.max(0, slot)]?.adults?.[group]?.length ? "" : "no adult";
}

// The spots that a child could have, when all are taken: {spots, here, low, high}, else null. A child of none of the
// clinic's ages could have any. Who came in without a spot has one of them.
export function spotsTaken({ who, age }, bands, children, here) {
  if (!bands.length) return null;
  const band = bandOf(age, bands);
  const spots = band ? band[2] : bands.reduce((sum, [, , many]) => sum + many, 0);
  const taken = children.filter((one) => one.who !== who && (one.state === "held" || here.has(one.who))
    && (!band || bandOf(one.age, [band])));
  if (taken.length < spots) return null;
  return { spots, here: taken.filter((one) => here.has(one.who)).length, low: band?.[0] ?? null, high: band?.[1] ?? null };
}

// Whether one person more is over the fire limit; `capacity` is null where nobody has said what it is.
export const overLimit = (inside, capacity) => Boolean(capacity) && inside + 1 > capacity;
