// The door: who is in, signed in and out in two taps; children only to somebody named.
import { makeAges } from "./ages.js";
import { makeAsk } from "./ask.js";
import { makeCleared } from "./cleared.js";
import { makeComing } from "./coming.js";
import { $, button, el, flag, refill } from "./dom.js";
import { choice } from "./forms.js";
import { makeGoing } from "./going.js";
import { makePairs } from "./pairs.js";
import { given, rowFacts, rowMarks } from "./row.js";
import { capital } from "./rules.js";
import { STILL_MS, heldNow, makeIdle, makeSettling } from "./still.js";
import { makeWaiver } from "./waiver.js";
import { gettext } from "./words.js";

const shown = () => [["all", gettext("All")], ["absent", gettext("Not here yet")], ["in", gettext("Here now")], ["adults", gettext("Adults")]];

function stayOf(state, who) {
  return (state.stays[who] || []).at(-1) || null;
}

// `walkIn` stands beside the search; `office` is the telephone number for when the center has none of its own.
export function makeDoor(floor, { walkIn, office }) {
  const { known, act, draw, clockAt } = floor;

  const door = { show: "all", find: "", held: new Set(), timer: 0 };
  const going = makeGoing(floor, { office, showWhole });
  const waiver = makeWaiver(floor, { office });
  const coming = makeComing(floor, [makeCleared(floor), ...makeAges(floor), waiver]);
  const pairs = makePairs(floor, "door");
  const idle = makeIdle();
  const still = makeSettling({
    find: () => [...document.querySelectorAll("#door-list li[id^=row-], #walkin-open, #door-show, #tabs")],
    // On the page: whoever scrolls knows that what is under the thumb moves.
    top: (node) => node.getBoundingClientRect().top + scrollY,
    says: (node) => (node.matches("button, #door-show, #tabs") ? "" : [...node.querySelectorAll("button, .going, .coming")].map((one) => one.textContent).join("\n")),
  });

  // Whatever grows or shrinks above a line moves it, also between two paintings.
  function watch(panel) {
    const sizes = new ResizeObserver(() => { if (!panel.hidden) still.measure(); });
    for (const id of ["alarm", "title", "tally", "now", "door-show", "door-list"]) sizes.observe($(id));
    addEventListener("hashchange", still.forget);
    // The line that was just tapped: it shows what became of it only when that is kept.
    panel.addEventListener("click", ({ target, detail }) => {
      const row = target.closest("button") && target.closest("li[id^=row-]");
      if (detail && row) still.settle(row.id);
    });
  }

  // Who belongs on the list as it is chosen, and who did until a moment ago.
  function heldOf(everyone, view) {
    const belongs = everyone.filter(({ who }) => (door.show === "in" ? view.here.has(who) : door.show === "absent" ? !view.here.has(who) : true));
    // Where the keyboard is, what is read, and of whom it is asked.
    const pinned = [...document.querySelectorAll("#door-list li:is(:has(:focus-visible, details[open]), .leaving, .asked)")].map((node) => node.id.replace("row-", ""));
    door.held = heldNow(door.held, belongs.map((one) => one.who), idle(), pinned);
    clearTimeout(door.timer);
    if (door.held.size > belongs.length) door.timer = setTimeout(draw, Math.max(STILL_MS - idle(), 0) || STILL_MS);
    return door.held;
  }

  // Chosen, the list is at once what was asked for.
  function choose(wanted) {
    Object.assign(door, wanted, { held: new Set() });
  }
  const question = makeAsk({
    who: () => going.who() || coming.who(),
    close: () => { if (going.who()) going.ask(); else coming.ask(coming.who()); draw(); },
  });

  function paintDoor(view) {
    const panel = $("panel-door");
    if (!$("door-list")) {
      const find = el("input", { id: "find", type: "search", className: "form-control", value: door.find, autocomplete: "off" });
      find.addEventListener("input", () => { choose({ find: find.value }); draw(); });
      panel.append(
        el("div", { className: "door-find" }, el("label", { for: "find", className: "visually-hidden" }, gettext("Search by name")), find,
          el("div", { id: "walkin" }), el("div", { id: "door-show" })),
        el("div", { id: "door-list" }));
      find.placeholder = gettext("Search by name");
      watch(panel);
    }
    still.expire();
    refill($("door-show"), choice(gettext("Show"), shown(), door.show, (value) => { choose({ show: value }); draw(); }, { className: "keys-row shown" }));
    const held = heldOf([...view.children, ...view.adults], view);
    const wanted = (one) => held.has(one.who) && one.name.toLowerCase().includes(door.find.trim().toLowerCase());
    const children = door.show === "adults" ? [] : view.children.filter(wanted);
    const adults = view.adults.filter(wanted);
    const spots = children.filter((one) => one.state !== "waiting");
    const waiting = children.filter((one) => one.state === "waiting");
    const part = (name, rows) => (rows.length ? [el("h3", {}, name), el("ul", { className: "rows door" }, rows)] : []);
    refill($("door-list"),
      part(gettext("Children"), spots.map((one) => childRow(one, view))),
      part(gettext("On the waiting list"), waiting.map((one) => childRow(one, view))),
      part(gettext("Adults"), adults.map((one) => adultRow(one, view))),
      children.length + adults.length ? null : el("p", { className: "none" }, door.find ? gettext("No one here is named “%(name)s”.", { name: door.find }) : gettext("No one in this list.")));
    walkIn.paint();
    still.measure();
    question.settle();
  }

  const rowClass = (who, ...more) => [...more, still.mark(`row-${who}`)].filter(Boolean).join(" ");

  function childRow(one, view) {
    const stay = stayOf(view.state, one.who);
    const wrong = stay && (stay.out === null
      ? button(gettext("Undo sign-in (by mistake)"), () => act("undo", { of: stay.in_id }, gettext("%(child)s was not here", { child: given(one) })), "act quiet", { id: `never-${one.who}` })
      : button(gettext("Undo sign-out (by mistake)"), () => act("undo", { of: stay.out_id }, gettext("%(child)s is still here", { child: given(one) })), "act quiet", { id: `still-${one.who}` }));
    const leaving = going.who() === one.who && going.box(one);
    const asked = !leaving && coming.who() === one.who && coming.box(one, view);
    return el("li", { id: `row-${one.who}`, className: rowClass(one.who, leaving ? "leaving" : asked ? "asked" : "") },
      el("details", { id: `more-${one.who}`, className: "what" },
        el("summary", {}, el("b", {}, one.name), el("span", { className: "marks" }, one.group ? gettext("age %(age)s, group %(group)s", one) : gettext("age %(age)s", one), rowMarks(one, view, known))),
        el("dl", { className: "facts" }, rowFacts(one, stay).map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words)))), wrong, waiver.undo(one, view)),
      doorKey(one, stay, () => askWhoPicksUp(one.who), () => askBefore(one.who)),
      question.group(leaving || asked || null, one.who),
      pairs.under(one.who, view));
  }

  // The question comes up under the thumb, and whole: not behind what stands at the foot.
  function askWhoPicksUp(who) {
    going.ask(going.who() === who ? "" : who);
    draw();
    showWhole(who);
  }

  // Signs in, or first asks what has to be asked.
  function askBefore(who) {
    // A question that has gone since, as when there is room again, is not the one that this tap closes.
    if (coming.who() === who && !$(`row-${who}`).matches(".asked")) coming.ask("");
    coming.ask(who);
    draw();
    showWhole(who);
  }

  function showWhole(who, part = ".going, .coming") {
    const box = $(`row-${who}`)?.querySelector(part)?.getBoundingClientRect();
    if (!box) return;
    const [under, over] = [$("alarm").getBoundingClientRect().bottom, $("foot").getBoundingClientRect().top];
    // As far up as its last button needs, and never so far that the question is gone.
    // At once: a question that slides is tapped past.
    // What came up behind the alarm comes down again.
    const way = box.top < under ? box.top - under : Math.max(0, Math.min(box.bottom - over, box.top - under));
    if (!way) return;
    scrollBy({ top: way, behavior: "instant" });
    still.settleAll();
  }

  function adultRow(one, view) {
    const stay = stayOf(view.state, one.who);
    return el("li", { id: `row-${one.who}`, className: rowClass(one.who) },
      el("div", { className: "what" }, el("b", {}, one.name), el("p", {}, capital(one.duty)),
        one.counts ? null : flag("plain", one.why_not ? gettext("not counted: %(why)s", { why: one.why_not }) : gettext("not counted"))),
      doorKey(one, stay, () => act("out", { who: one.who, pickup: "" }, gettext("%(name)s signed out", one)),
        () => act("in", { who: one.who }, gettext("%(name)s signed in", { name: given(one) }))));
  }

  // One key for each person: its first line is how they stand, its second what a tap does.
  function doorKey(one, stay, leave, come) {
    const id = `press-${one.who}`;
    if (stay && stay.out === null) {
      return button([gettext("In %(time)s", { time: clockAt(stay.in) }), el("span", { className: "does" }, ` ${gettext("sign out")}`), el("span", { className: "visually-hidden" }, ` ${one.name}`)], leave, "act big in", { id });
    }
    if (stay) return button([gettext("Out %(time)s", { time: clockAt(stay.out) }), el("span", { className: "does" }, ` ${gettext("sign in again")}`), el("span", { className: "visually-hidden" }, ` ${one.name}`)], come, "act big quiet", { id });
    return button([gettext("Sign in"), el("span", { className: "visually-hidden" }, ` ${one.name}`)], come, "act big quiet", { id });
  }

  // At the line of somebody who is still in, with the question already asked.
  function askAtDoor(who) {
    choose({ show: "all", find: "" });
    going.ask(who);
    if ($("find")) $("find").value = "";
    location.hash = "door";
    setTimeout(() => { $(`row-${who}`)?.scrollIntoView({ block: "center" }); }, 80);
  }

  return { paint: paintDoor, askAtDoor };
}
