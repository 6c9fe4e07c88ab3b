// Who takes a child home: only somebody named, never somebody who must not, and nobody of a like name without a reason.
import { $, button, el, glyph } from "./dom.js";
import { against } from "./names.js";
import { barredBox, given } from "./row.js";
import { gettext } from "./words.js";

// A reason shorter than this is none. A guess of ours: "ID" alone is too little, "his ID" will do.
const LEAST_LETTERS = 4;
const START = { typed: "", sure: "", warned: "", asked: "", reason: "", short: false };

// `office` is the telephone number for when the center has none of its own; `showWhole` brings the box under the thumb.
export function makeGoing(floor, { office, showWhole }) {
  const { known, act, draw, look } = floor;

  // Of which child it is asked, what is typed and warned of so far, and of whom it is asked why they are another.
  const going = { who: "", ...START };
  const ask = (who = "") => Object.assign(going, { who, ...START });
  const callUs = () => known.day.clinic.phone || office;
  // As they are known now: a button may be older than what stands on it.
  const childNow = () => look().people.get(going.who);

  function goes(child, pickup, more = {}) {
    ask();
    act("out", { who: child.who, pickup, ...more }, gettext("%(child)s went home with %(name)s", { child: given(child), name: pickup }));
  }

  // Somebody wants to take the child home. Who is on the list goes at once, who is not with a second tap.
  function choose(name, listed = false) {
    const child = childNow();
    const { same, like } = against(name, child.must_not);
    const sure = going.sure === name;
    Object.assign(going, { sure: "", warned: "", asked: "", reason: "", short: false });
    if (!name) going.warned = gettext("Enter the name of the person picking up.");
    else if (same) {
      going.warned = gettext("%(name)s must not pick up %(child)s. Keep the child inside and call our office at %(phone)s.", { name: same, child: given(child), phone: callUs() });
    } else if (like.length) going.asked = name;
    else if (listed || sure) { goes(child, name); return; }
    else going.sure = name;
    draw();
    if (going.asked) showWhole(going.who, ".why");
  }

  function release() {
    const child = childNow();
    const { same, like } = against(going.asked, child.must_not);
    if (same) { choose(going.asked); return; }
    going.reason = $("why").value.trim();
    going.short = (going.reason.match(/\p{L}/gu) || []).length < LEAST_LETTERS;
    if (!going.short) { goes(child, going.asked, { near: like.join(", "), reason: going.reason }); return; }
    draw();
    $("why").focus();
  }

  const notYet = () => button(gettext("Not leaving yet"), () => {
    const { who } = going;
    ask();
    draw();
    $(`press-${who}`)?.focus();
  }, "act big quiet", { id: "else-stay" });
  const field = (id, value, keep) => {
    const input = el("input", { id, type: "text", className: "form-control", value, maxLength: id === "why" ? 200 : 120, autocomplete: "off" });
    input.addEventListener("input", () => keep(input.value));
    return input;
  };
  const stopped = (words) => el("p", { className: "callout stop", role: "alert" }, glyph("cross"), el("span", {}, words));

  const boxes = (child, some = child.must_not) => child.must_not
    .map((name, at) => (some.includes(name) ? barredBox(name, child.looks?.[at]) : null));

  // The step of its own for a name like that of somebody who must not: nothing else can be tapped by mistake.
  function askWhy(child) {
    const { like } = against(going.asked, child.must_not);
    const words = { name: going.asked, barred: like.join(", "), child: given(child), phone: callUs() };
    return el("div", { className: "why", role: "group" },
      stopped(gettext("%(name)s may be %(barred)s, who must not pick up %(child)s. Keep the child inside and call our office at %(phone)s.", words)),
      boxes(child, like),
      el("label", { for: "why", className: "form-label requiredField" }, gettext("Why are you sure this is someone else? For example: checked photo ID, it’s his brother.")),
      field("why", going.reason, (value) => { going.reason = value; }),
      going.short ? el("p", { id: "why-short", className: "callout stop", role: "alert" }, gettext("Enter how you know that this is someone else.")) : null,
      button(gettext("Back to the pickup list"), () => { Object.assign(going, { asked: "", reason: "", short: false }); draw(); }, "act big quiet", { id: "why-back" }),
      button(gettext("I checked: release to %(name)s", words), release, "act big stop", { id: "why-release" }));
  }

  function chooseWho(child) {
    const people = child.pickup_people.map((one) => ({ ...one, ...against(one.name, child.must_not) })).filter((one) => !one.same);
    return [
      boxes(child),
      people.map((one, at) => button([
        one.relation ? gettext("%(name)s, %(relation)s", one) : one.name,
        one.like.length ? el("span", { className: "does" }, ` ${gettext("check ID: like %(barred)s", { barred: one.like.join(", ") })}`) : null,
      ], () => choose(one.name, true), "act big", { id: `pickup-${at}` })),
      el("label", { for: "else", className: "form-label requiredField" }, gettext("Someone else (name)")),
      field("else", going.typed, (value) => { going.typed = value; }),
      going.warned ? stopped(going.warned) : null,
      going.sure ? el("p", { className: "callout due", role: "status" }, gettext("%(name)s is not on %(child)s’s list. Check a photo ID and call the guardian if you can. Tap again to release %(child)s.", { name: going.sure, child: given(child) })) : null,
      button(going.sure ? gettext("Yes, release to %(name)s", { name: going.sure }) : gettext("Someone else is picking up"), () => choose($("else").value.trim()), "act big quiet", { id: "else-press" }),
    ];
  }

  function box(child) {
    return el("div", { className: "going" },
      el("p", {}, el("b", {}, gettext("Who is picking up %(child)s?", { child: given(child) }))),
      going.asked && against(going.asked, child.must_not).like.length ? askWhy(child) : chooseWho(child), notYet());
  }

  return { ask, box, who: () => going.who };
}
