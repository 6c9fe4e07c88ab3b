// What has to be asked before a child is signed in, one question after the other, under the child's line.
import { el } from "./dom.js";
import { given } from "./row.js";
import { gettext } from "./words.js";

// `questions`: {code, asks(child, view), box(child, view, {go, stop})} each. `go()` answers a question; `go(true)` says
// that the child comes in despite it, which the entry then names. `stop()` leaves the child out.
export function makeComing(floor, questions) {
  const { act, draw, look } = floor;
  const coming = { who: "", answered: [], despite: [] };

  const open = (child, view) => questions.find((one) => !coming.answered.includes(one.code) && one.asks(child, view));

  // The next question of the child about whom it is asked, or in. What is known is looked at anew: a button may be older.
  function next() {
    const view = look();
    const child = view.people.get(coming.who);
    if (open(child, view)) { draw(); return; }
    const despite = coming.despite.length ? { despite: coming.despite.join(",") } : {};
    coming.who = "";
    act("in", { who: child.who, ...despite }, gettext("%(name)s signed in", { name: given(child) }));
  }

  // Asked again of the same child, it is not asked any more.
  function ask(who) {
    Object.assign(coming, { who: coming.who === who ? "" : who, answered: [], despite: [] });
    if (coming.who) next();
  }

  function stop() {
    coming.who = "";
    draw();
  }

  function box(child, view) {
    const question = open(child, view);
    if (!question) return null;
    const go = (despite = false) => {
      coming.answered.push(question.code);
      if (despite) coming.despite.push(question.code);
      next();
    };
    return el("div", { className: "coming", role: "group" }, question.box(child, view, { go, stop }));
  }

  return { ask, box, who: () => coming.who };
}
