// The alarm as it stands on the page: its reasons in words, the worst as its head, and what to do until somebody comes.
import { dutyOf } from "./alarms.js";
import { $, el, refill } from "./dom.js";
import { eitherOf, gettext, joined, ngettext } from "./words.js";

// Where the list would have too little room, the alarm shows its head and keeps the rest one tap away.
const LOW = "(max-height: 700px)";

const tableWords = () => ({ center: gettext("the center’s table"), funder: gettext("the funder’s table"), ours: gettext("our table") });

// {head, more} of one reason. `adults`: all of today's; `here`: who of them is in; `day`: what the server said.
function reasonWords(one, { day, adults, here }) {
  const { ratio } = day;
  const least = ratio.least_source ? gettext("%(source)s: “%(words)s.”", { source: ratio.least_source, words: ratio.least_words }) : "";
  const need = ngettext("You need %(n)s adult here.", "You need %(n)s adults here.", one.needed);
  if (one.code === "no adult") return { head: gettext("No adult is signed in"), more: `${need} ${least}`.trim() };
  if (one.code === "one adult") return { head: gettext("Only 1 adult is with the children"), more: least || need };
  if (one.code === "few adults") {
    const tables = one.tables.map(({ name, whose }) => gettext("%(whose)s: %(name)s", { whose: tableWords()[whose] || tableWords().ours, name }));
    const count = one.adults === 0 ? gettext("no adult is here") : ngettext("%(n)s is here", "%(n)s are here", one.adults);
    return {
      head: ngettext("%(n)s more adult needed now", "%(n)s more adults needed now", one.missing),
      more: [
        ngettext("You need %(n)s adult for children from age %(age)s; %(here)s.", "You need %(n)s adults for children from age %(age)s; %(here)s.", one.needed, { age: one.youngest, here: count }),
        gettext("By %(tables)s.", { tables: joined(tables) }),
      ].join(" "),
    };
  }
  const duty = dutyOf(one);
  const theirs = adults.filter((adult) => adult.duties.includes(duty));
  const named = (who) => joined(who.map((adult) => adult.name));
  const coming = theirs.filter((adult) => !here.has(adult.who) && adult.cleared.includes(duty));
  const unfit = theirs.filter((adult) => here.has(adult.who));
  return {
    head: duty === "door" ? gettext("No one is at the door") : gettext("No %(duty)s is signed in", { duty: day.needs.find(({ code }) => code === duty).noun }),
    more: coming.length ? gettext("Expected: %(names)s.", { names: named(coming) })
      : unfit.length ? gettext("Not cleared for it: %(names)s.", { names: named(unfit) }) : gettext("The shift is open."),
  };
}

// What to do until there are enough adults. With one adult nobody can look after two groups.
function untilThen(found, { adults, here }) {
  const few = found.some(({ code }) => code === "few adults");
  const alone = found.some(({ code }) => code === "no adult" || code === "one adult");
  if (!few && !alone) return "";
  const awaited = adults.filter((one) => one.counts && !here.has(one.who)).map((one) => one.name);
  // They are named when they are few enough.
  const who = awaited.length && awaited.length < 3 ? eitherOf(awaited) : gettext("another adult");
  return alone ? gettext("Keep all children together in one space until %(who)s gets here. Don’t sign in more children without their guardian.", { who })
    : gettext("Don’t sign in more children without their guardian. Or combine groups until %(who)s gets here.", { who });
}

// All reasons in words, in the same order, and what to do.
export function alarmWords(found, about) {
  return { reasons: found.map((one) => reasonWords(one, about)), advice: untilThen(found, about) };
}

export function makeWarning(floor) {
  const low = matchMedia(LOW);
  // What the lead chose to see of it, until there are other reasons.
  let [chosen, codes] = [null, ""];
  low.addEventListener("change", () => { chosen = null; floor.draw(); });

  function paint(view) {
    const box = $("alarm");
    const found = view.alarms;
    const now = found.map(({ code }) => code).join();
    if (now !== codes) [chosen, codes] = [null, now];
    box.className = found.length ? "alarm" : "";
    if (!found.length) { refill(box); return; }
    const { reasons: [worst, ...rest], advice } = alarmWords(found, { day: floor.known.day, ...view });
    const more = rest.length ? ngettext("+%(n)s more", "+%(n)s more", rest.length) : gettext("More");
    // Touched only where it changed, or a screen reader would repeat it at each tap.
    refill(box, el("details", { id: "alarm-all" },
      el("summary", { press: () => { chosen = !$("alarm-all").open; } }, el("b", {}, worst.head), el("span", { className: "rest" }, more)),
      el("p", {}, worst.more),
      rest.length ? el("ul", {}, rest.map((one) => el("li", {}, el("b", {}, one.head), `. ${one.more}`))) : null,
      advice ? el("p", {}, advice) : null));
    const open = chosen ?? !low.matches;
    if ($("alarm-all").open !== open) $("alarm-all").open = open;
  }

  return { paint };
}
