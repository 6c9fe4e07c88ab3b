// The clock of the clinic: what is on now, what comes then, and how long until that.
import { $, el, refill, tell } from "./dom.js";
import { asClock, whatNow } from "./rules.js";
import { slotName } from "./sheet.js";
import { gettext } from "./words.js";

export function makeClock(floor) {
  const { known, serverNow, clockAt } = floor;
  let told = -1;
  // On which sheet slots were started, and when: the clock ticks without working out the whole view again.
  let began = null;

  // Two lines, by what whatNow found.
  function lines({ code, now, next }) {
    const { clinic, sheet } = known.day;
    const name = (number) => slotName(sheet.slots[number]);
    const end = { time: clockAt(clinic.ends_at) };
    return {
      cancelled: () => [gettext("Our office cancelled this clinic"), gettext("%(why)s. Sign everyone out", { why: clinic.called_off })],
      ended: () => [gettext("Ended at %(time)s", end), gettext("Sign everyone out, then close the day")],
      before: () => [gettext("Starts at %(time)s", { time: clockAt(clinic.starts_at) }), gettext("No run sheet")],
      "before sheet": () => [gettext("Starts with: %(slot)s", { slot: name(0) }), ""],
      "no sheet": () => [gettext("Ends at %(time)s", end), gettext("No run sheet")],
      slot: () => [gettext("Now: %(slot)s", { slot: name(now) }), gettext("Next: %(slot)s", { slot: name(next) })],
      "last slot": () => [gettext("Now: %(slot)s", { slot: name(now) }), gettext("Then: sign everyone out by %(time)s", end)],
      "sheet done": () => [gettext("The run sheet is done"), gettext("Sign everyone out by %(time)s", end)],
    }[code]();
  }

  function paint(view) {
    if (!known.day || known.gone) return;
    if (view) began = view.state;
    const minute = (serverNow() - new Date(known.day.clinic.starts_at)) / 60000;
    const where = whatNow(known.day, began || known.day.state, minute);
    const [first, second] = lines(where);
    const left = where.left >= 600 ? "" : where.left >= 100 ? gettext("%(n)s min", { n: Math.ceil(where.left) }) : asClock(where.left);
    refill($("now"), el("p", {}, first, second ? el("br") : null, second), el("b", { id: "clock" }, left));
    if (where.code === "slot" && where.left <= 2 && where.left > 0 && told !== where.next) {
      told = where.next;
      tell(gettext("Next in 2 minutes: %(slot)s.", { slot: slotName(known.day.sheet.slots[where.next]) }));
    }
  }

  return { paint };
}
