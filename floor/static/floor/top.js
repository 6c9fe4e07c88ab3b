// What stands above and below every part of the page: the alarm, the count, the clock, and what is sent.
import { $, el, refill, tell } from "./dom.js";
import { asClock, counted, countedAs, ratioWarning, slotName, whereNow } from "./rules.js";

export function makeTop(floor) {
  const { known, serverNow, clockAt } = floor;
  let told = -1;
  // On which sheet slots were started, and when: the clock ticks without working out the whole view again.
  let began = null;

  function paintAlarm({ ages, countIn, needed, absent }) {
    const warning = ratioWarning({ ages, adults: countIn.length, needed, absent });
    $("alarm").className = warning ? "alarm" : "";
    // Touched only when it changed, or a screen reader would repeat it at each tap.
    refill($("alarm"), warning ? [el("b", {}, warning.head), el("p", {}, warning.body)] : []);
  }

  function paintTally({ children, inNow, countIn, others, needed, ages }) {
    $("title").textContent = known.day.clinic.title;
    $("wait").hidden = true;
    for (const id of ["whole", "foot"]) $(id).hidden = false;
    const places = children.filter((one) => one.state !== "waiting").length;
    refill($("tally"),
      el("p", {}, el("b", {}, String(inNow.length)), ` of ${counted(places, "child", "children")} in`),
      el("p", {}, el("b", {}, String(countIn.length)), ` of ${needed} adults in`, others.length ? el("span", { className: "aside" }, ` and ${counted(others.length, "helper", "helpers")}`) : null),
      countedAs(ages, known.day.ratio).map((words) => el("p", { className: "aside whole" }, words)));
  }

  function paintFoot() {
    const count = known.pending.length;
    const why = known.full ? "This phone has no room left. The last tap is not kept: write it on paper. "
      : known.lost ? `${counted(known.lost, "entry that was kept here can’t", "entries that were kept here can’t")} be read any more: look at the list, and tap again what is missing. `
      : !known.dayKept ? "This phone has no room left to keep the day: leave this page open. "
      : known.signal ? "" : known.trouble ? `${known.trouble} ` : "No signal. ";
    const waiting = count
      ? `${counted(count, "entry is", "entries are")} kept on this phone and will be sent by ${count === 1 ? "itself" : "themselves"}.`
      : known.signal ? "Everything is sent." : "Nothing waits to be sent.";
    const refused = known.refused.length ? ` ${counted(known.refused.length, "entry was", "entries were")} not taken: see Closing.` : "";
    if ($("kept").textContent !== why + waiting + refused) $("kept").textContent = why + waiting + refused;
    $("undo").hidden = !known.last;
    $("undo").textContent = known.last ? `Take back: ${known.last.words}` : "";
  }

  function paintClock(view) {
    if (!known.day || known.gone) return;
    const { day } = known;
    if (view) began = view.state;
    const minute = (serverNow() - new Date(day.clinic.starts_at)) / 60000;
    const slots = day.sheet?.slots || [];
    const where = whereNow(day, began || day.state, minute);
    const name = (number) => slotName(slots[number]);
    const atEnd = (new Date(day.clinic.ends_at) - new Date(day.clinic.starts_at)) / 60000;
    let [first, second, left] = [`Ends at ${clockAt(day.clinic.ends_at)}`, "No run sheet is planned", atEnd - minute];
    if (slots.length && where.now < 0) [first, second, left] = [`Starts with ${name(0)}`, "", where.left];
    else if (slots.length) [first, second, left] = [`Now: ${name(where.now)}`, where.next < 0 ? "then the end" : `then ${name(where.next)}`, where.left];
    else if (minute < 0) [first, left] = [`Starts at ${clockAt(day.clinic.starts_at)}`, -minute];
    if (day.clinic.called_off) [first, second, left] = ["The office has called this clinic off", `${day.clinic.called_off}. Sign everybody out`, Infinity];
    else if (minute >= atEnd && (!slots.length || left <= 0)) [first, second, left] = [`Ended at ${clockAt(day.clinic.ends_at)}`, "Sign everybody out, then close the day", 0];
    refill($("now"), el("p", {}, first, second ? el("br") : null, second), el("b", { id: "clock" }, left >= 600 ? "" : left >= 100 ? `${Math.ceil(left)} min` : asClock(left)));
    if (where.next >= 0 && where.left <= 2 && where.left > 0 && told !== where.next) {
      told = where.next;
      tell(`Next in 2 minutes: ${name(where.next)}.`);
    }
  }

  return {
    // First, so that a warning stands there whatever becomes of the rest.
    paintHead: (view) => { paintAlarm(view); paintTally(view); },
    paintRest: (view) => { paintFoot(); paintClock(view); },
    tick: () => paintClock(),
  };
}
