// The door: who is in, signed in and out in two taps; children only to somebody named.
import { makeAsk } from "./ask.js";
import { makeComing } from "./coming.js";
import { $, button, el, flag, refill } from "./dom.js";
import { choice } from "./forms.js";
import { makeGoing } from "./going.js";
import { given, rowFacts, rowMarks } from "./row.js";
import { capital } from "./rules.js";
import { gettext } from "./words.js";

const shown = () => [["all", gettext("All")], ["absent", gettext("Not here yet")], ["in", gettext("Here now")], ["adults", gettext("Adults")]];

function stayOf(state, who) {
  return (state.stays[who] || []).at(-1) || null;
}

// `walkIn` stands beside the search; `office` is the telephone number for when the center has none of its own.
export function makeDoor(floor, { walkIn, office }) {
  const { known, act, draw, clockAt } = floor;

  const door = { show: "all", find: "" };
  const going = makeGoing(floor, { office });
  const coming = makeComing(floor, []);
  const asked = makeAsk({
    who: () => going.who() || coming.who(),
    close: () => { if (going.who()) going.ask(); else coming.ask(coming.who()); draw(); },
  });

  function paintDoor(view) {
    const panel = $("panel-door");
    if (!$("door-list")) {
      const find = el("input", { id: "find", type: "search", className: "form-control", value: door.find, autocomplete: "off" });
      find.addEventListener("input", () => { door.find = find.value; draw(); });
      panel.append(
        el("div", { className: "door-find" }, el("label", { for: "find", className: "visually-hidden" }, gettext("Search by name")), find,
          el("div", { id: "walkin" }), el("div", { id: "door-show" })),
        el("div", { id: "door-list" }));
      find.placeholder = gettext("Search by name");
    }
    refill($("door-show"), choice(gettext("Show"), shown(), door.show, (value) => { door.show = value; draw(); }, { className: "keys-row shown" }));
    const wanted = (one) => one.name.toLowerCase().includes(door.find.trim().toLowerCase())
      && (door.show === "in" ? view.here.has(one.who) : door.show === "absent" ? !view.here.has(one.who) : true);
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
    asked.settle();
  }

  function childRow(one, view) {
    const stay = stayOf(view.state, one.who);
    const wrong = stay && (stay.out === null
      ? button(gettext("Undo sign-in (by mistake)"), () => act("undo", { of: stay.in_id }, gettext("%(child)s was not here", { child: given(one) })), "act quiet", { id: `never-${one.who}` })
      : button(gettext("Undo sign-out (by mistake)"), () => act("undo", { of: stay.out_id }, gettext("%(child)s is still here", { child: given(one) })), "act quiet", { id: `still-${one.who}` }));
    return el("li", { id: `row-${one.who}`, className: going.who() === one.who ? "leaving" : coming.who() === one.who ? "asked" : "" },
      el("details", { id: `more-${one.who}`, className: "what" },
        el("summary", {}, el("b", {}, one.name), el("span", { className: "marks" }, one.group ? gettext("age %(age)s, group %(group)s", one) : gettext("age %(age)s", one), rowMarks(one, view, known))),
        el("dl", { className: "facts" }, rowFacts(one, stay).map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words)))), wrong),
      doorKey(one, stay, () => askWhoPicksUp(one.who), () => askBefore(one.who)),
      asked.group(going.who() === one.who ? going.box(one) : coming.who() === one.who ? coming.box(one, view) : null, one.who));
  }

  // The question comes up under the thumb, and whole: not behind what stands at the foot.
  function askWhoPicksUp(who) {
    going.ask(going.who() === who ? "" : who);
    draw();
    showWhole(who);
  }

  // Signs in, or first asks what has to be asked.
  function askBefore(who) {
    coming.ask(who);
    draw();
    showWhole(who);
  }

  function showWhole(who) {
    const box = $(`row-${who}`)?.querySelector(".going, .coming")?.getBoundingClientRect();
    if (!box) return;
    const [under, over] = [$("alarm").getBoundingClientRect().bottom, $("foot").getBoundingClientRect().top];
    // As far up as its last button needs, and never so far that the question is gone.
    // At once: a question that slides is tapped past.
    scrollBy({ top: Math.max(0, Math.min(box.bottom - over, box.top - under)), behavior: "instant" });
  }

  function adultRow(one, view) {
    const stay = stayOf(view.state, one.who);
    return el("li", { id: `row-${one.who}` },
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
    Object.assign(door, { show: "all", find: "" });
    going.ask(who);
    if ($("find")) $("find").value = "";
    location.hash = "door";
    setTimeout(() => { $(`row-${who}`)?.scrollIntoView({ block: "center" }); }, 80);
  }

  return { paint: paintDoor, askAtDoor };
}
