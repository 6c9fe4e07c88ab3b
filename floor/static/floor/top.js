// What stands above and below every part of the page: the alarm, the count, the clock, and what is sent.
import { $, el, refill, tell } from "./dom.js";
import { asClock, countedAs, ratioWarning, whereNow } from "./rules.js";
import { slotName } from "./sheet.js";
import { makeSettling } from "./still.js";
import { eitherOf, gettext, ngettext } from "./words.js";

// What the alarm shouts, from what ratioWarning found.
export function alarmWords({ missing, needed, adults, children, youngest, awaited }) {
  const young = children === 1
    ? gettext("1 child here, age %(age)s.", { age: youngest })
    : ngettext("%(n)s child here, the youngest is %(age)s.", "%(n)s children here, the youngest is %(age)s.", children, { age: youngest });
  const here = adults === 0 ? gettext("no adult is here") : ngettext("%(n)s is here", "%(n)s are here", adults);
  return {
    head: ngettext("%(n)s more adult needed now", "%(n)s more adults needed now", missing),
    body: [
      young,
      ngettext("You need %(n)s adult; %(here)s.", "You need %(n)s adults; %(here)s.", needed, { here }),
      gettext("Don’t sign in more children without their guardian. Or combine groups until %(who)s gets here.", { who: awaited.length ? eitherOf(awaited) : gettext("another adult") }),
    ].join(" "),
  };
}

export function makeTop(floor) {
  const { known, serverNow, clockAt } = floor;
  let told = -1;
  // On which sheet slots were started, and when: the clock ticks without working out the whole view again.
  let began = null;
  // The next step back has another name in the same place, and the foot grows up to where a line was.
  const still = makeSettling({ find: () => [$("undo")], top: (node) => node.getBoundingClientRect().top, says: (node) => node.textContent });
  $("undo").addEventListener("click", ({ detail }) => { if (detail) still.settle("undo"); });

  function paintAlarm({ ages, countIn, needed, absent }) {
    const found = ratioWarning({ ages, adults: countIn.length, needed, absent });
    const warning = found && alarmWords(found);
    $("alarm").className = warning ? "alarm" : "";
    // Touched only when it changed, or a screen reader would repeat it at each tap.
    refill($("alarm"), warning ? [el("b", {}, warning.head), el("p", {}, warning.body)] : []);
  }

  function paintTally({ children, inNow, countIn, others, needed, ages }) {
    $("title").textContent = known.day.clinic.title;
    $("wait").hidden = true;
    for (const id of ["whole", "foot"]) $(id).hidden = false;
    const spots = children.filter((one) => one.state !== "waiting").length;
    refill($("tally"),
      el("p", {}, el("b", {}, String(inNow.length)), ` ${ngettext("of %(n)s child here", "of %(n)s children here", spots)}`),
      el("p", {}, el("b", {}, String(countIn.length)), ` ${ngettext("of %(n)s adult here", "of %(n)s adults here", needed)}`,
        others.length ? el("span", { className: "aside" }, ` ${ngettext("and %(n)s helper", "and %(n)s helpers", others.length)}`) : null),
      countedAs(ages, known.day.ratio).map((one) => el("p", { className: "aside whole" },
        gettext("Age %(age)s isn’t in the %(table)s table, so we used age %(as)s.", one))));
  }

  function paintFoot() {
    const count = known.pending.length;
    const why = known.full ? gettext("This phone is out of space. Your last tap wasn’t saved, so write it on paper.")
      : known.lost ? ngettext("%(n)s saved entry can’t be read. Check the list and tap again anything that’s missing.", "%(n)s saved entries can’t be read. Check the list and tap again anything that’s missing.", known.lost)
      : !known.dayKept ? gettext("This phone is out of space to save today’s clinic. Leave this page open.")
      : known.signal ? "" : known.trouble || gettext("No signal.");
    const waiting = count
      ? ngettext("%(n)s entry is saved on this phone and will be sent automatically.", "%(n)s entries are saved on this phone and will be sent automatically.", count)
      : known.signal ? gettext("Everything has been sent.") : gettext("Nothing to send.");
    const refused = known.refused.length
      ? ngettext("%(n)s entry wasn’t accepted. See Close the day.", "%(n)s entries weren’t accepted. See Close the day.", known.refused.length) : "";
    const words = [why, waiting, refused].filter(Boolean).join(" ");
    if ($("kept").textContent !== words) $("kept").textContent = words;
    const last = floor.lastDone();
    $("undo").hidden = !last;
    $("undo").textContent = last ? gettext("Undo: %(action)s", { action: last.words }) : "";
    still.measure();
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
    let [first, second, left] = [gettext("Ends at %(time)s", { time: clockAt(day.clinic.ends_at) }), gettext("No run sheet"), atEnd - minute];
    if (slots.length && where.now < 0) [first, second, left] = [gettext("Starts with: %(slot)s", { slot: name(0) }), "", where.left];
    else if (slots.length) [first, second, left] = [gettext("Now: %(slot)s", { slot: name(where.now) }), where.next < 0 ? gettext("Then it’s over") : gettext("Next: %(slot)s", { slot: name(where.next) }), where.left];
    else if (minute < 0) [first, left] = [gettext("Starts at %(time)s", { time: clockAt(day.clinic.starts_at) }), -minute];
    if (day.clinic.called_off) [first, second, left] = [gettext("Our office cancelled this clinic"), gettext("%(why)s. Sign everyone out", { why: day.clinic.called_off }), Infinity];
    else if (minute >= atEnd && (!slots.length || left <= 0)) [first, second, left] = [gettext("Ended at %(time)s", { time: clockAt(day.clinic.ends_at) }), gettext("Sign everyone out, then close the day"), 0];
    refill($("now"), el("p", {}, first, second ? el("br") : null, second), el("b", { id: "clock" }, left >= 600 ? "" : left >= 100 ? gettext("%(n)s min", { n: Math.ceil(left) }) : asClock(left)));
    if (where.next >= 0 && where.left <= 2 && where.left > 0 && told !== where.next) {
      told = where.next;
      tell(gettext("Next in 2 minutes: %(slot)s.", { slot: name(where.next) }));
    }
  }

  return {
    // First, so that a warning stands there whatever becomes of the rest.
    paintHead: (view) => { paintAlarm(view); paintTally(view); },
    paintRest: (view) => { paintFoot(); paintClock(view); },
    tick: () => paintClock(),
  };
}
