// What stands above and below every part of the page: the alarm, the count, the clock, and what is sent.
import { makeClock } from "./clock.js";
import { $, el, refill } from "./dom.js";
import { countedAs } from "./rules.js";
import { makeSignal } from "./signal.js";
import { makeSettling } from "./still.js";
import { makeWarning } from "./warning.js";
import { gettext, ngettext } from "./words.js";

export function makeTop(floor) {
  const { known } = floor;
  const [warning, clock, signal] = [makeWarning(floor), makeClock(floor), makeSignal(floor)];

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

  // The next step back has another name in the same place, and the foot grows up to where a line was.
  const still = makeSettling({ find: () => [$("undo")], top: (node) => node.getBoundingClientRect().top, says: (node) => node.textContent });
  $("undo").addEventListener("click", ({ detail }) => { if (detail) still.settle("undo"); });

  function paintUndo() {
    const last = floor.lastDone();
    $("undo").hidden = !last;
    $("undo").textContent = last ? gettext("Undo: %(action)s", { action: last.words }) : "";
    still.measure();
  }

  return {
    // First, so that a warning stands there whatever becomes of the rest.
    paintHead: (view) => { warning.paint(view); paintTally(view); },
    paintRest: (view) => { signal.paint(); paintUndo(); clock.paint(view); },
    tick: () => { clock.paint(); signal.paint(); },
    woke: signal.woke,
  };
}
