// The door: who is in, signed in and out in two taps; children only to somebody named.
import { $, button, el, flag, glyph, refill, tel } from "./dom.js";
import { choice } from "./forms.js";
import { capital, sameName } from "./rules.js";
import { gettext } from "./words.js";

const shown = () => [["all", gettext("All")], ["absent", gettext("Not here yet")], ["in", gettext("Here now")], ["adults", gettext("Adults")]];
const waiverFlags = () => ({
  missing: gettext("waiver missing"), expired: gettext("waiver expired"), older: gettext("must sign the new waiver"),
  withdrawn: gettext("waiver withdrawn"),
});
const given = (one) => one.given || one.name.split(" ")[0];

function stayOf(state, who) {
  return (state.stays[who] || []).at(-1) || null;
}

// `walkIn` stands at the foot of the list; `office` is the telephone number for when the center has none of its own.
export function makeDoor(floor, { walkIn, office }) {
  const { known, act, draw, clockAt } = floor;

  const door = { show: "all", find: "", leaving: "", typed: "", sure: "", warned: "" };

  function paintDoor(view) {
    const panel = $("panel-door");
    if (!$("door-list")) {
      const find = el("input", { id: "find", type: "search", className: "form-control", value: door.find, autocomplete: "off" });
      find.addEventListener("input", () => { door.find = find.value; draw(); });
      panel.append(
        el("div", { className: "door-find" }, el("label", { for: "find", className: "visually-hidden" }, gettext("Search by name")), find),
        el("div", { id: "door-show" }), el("div", { id: "door-list" }), el("div", { id: "walkin" }));
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
  }

  function childRow(one, view) {
    const stay = stayOf(view.state, one.who);
    const marks = [
      one.allergies && flag("due", gettext("allergy: %(what)s", { what: one.allergies }), "warn"),
      one.unread && flag("due", gettext("allergies still loading"), "dots"),
      one.care_notes && flag("due", gettext("care note"), "dots"),
      one.waiver !== "current" && flag("stop", waiverFlags()[one.waiver] || gettext("waiver missing"), "cross"),
      view.knocked.has(one.who) && flag("stop", gettext("sitting out today"), "warn"),
      one.must_not.length > 0 && flag("stop", gettext("has a “must not pick up” entry"), "cross"),
      !one.photos && flag("plain", gettext("no photos"), "cross"),
      one.walked && flag("plain", gettext("walk-in")),
      one.state === "given up" && !known.day.clinic.called_off && flag("due", gettext("no longer has a spot"), "dots"),
    ].filter(Boolean);
    const facts = [
      one.care_notes && [gettext("Care note"), one.care_notes],
      one.allergies && [gettext("Allergies"), one.allergies],
      one.emergency.name && [gettext("Emergency contact"), [one.emergency.name, " ", one.emergency.phone ? tel(one.emergency.phone) : null]],
      [gettext("Can be picked up by"), one.pickup_people.map((who) => el("p", {}, who.name, who.relation ? `, ${who.relation} ` : " ", who.phone ? tel(who.phone) : null))],
      one.must_not.length > 0 && [gettext("Must not pick up"), one.must_not.map((name) => flag("stop", gettext("MUST NOT PICK UP: %(name)s", { name }), "cross"))],
      stay?.pickup && [gettext("Picked up by"), stay.pickup],
    ].filter(Boolean);
    const wrong = stay && (stay.out === null
      ? button(gettext("Undo sign-in (by mistake)"), () => act("undo", { of: stay.in_id }, gettext("%(child)s was not here", { child: given(one) })), "act quiet", { id: `never-${one.who}` })
      : button(gettext("Undo sign-out (by mistake)"), () => act("undo", { of: stay.out_id }, gettext("%(child)s is still here", { child: given(one) })), "act quiet", { id: `still-${one.who}` }));
    return el("li", { id: `row-${one.who}`, className: door.leaving === one.who ? "leaving" : "" },
      el("details", { id: `more-${one.who}`, className: "what" },
        el("summary", {}, el("b", {}, one.name), el("span", { className: "marks" }, one.group ? gettext("age %(age)s, group %(group)s", one) : gettext("age %(age)s", one), marks)),
        el("dl", { className: "facts" }, facts.map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words)))), wrong),
      doorKey(one, stay, () => askWhoPicksUp(one.who)),
      door.leaving === one.who ? leavingBox(one) : null);
  }

  // The question comes up under the thumb, and whole: not behind what stands at the foot.
  function askWhoPicksUp(who) {
    Object.assign(door, { leaving: door.leaving === who ? "" : who, typed: "", sure: "", warned: "" });
    draw();
    const box = $(`row-${who}`)?.querySelector(".going")?.getBoundingClientRect();
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
      doorKey(one, stay, () => act("out", { who: one.who, pickup: "" }, gettext("%(name)s signed out", one))));
  }

  // One key for each person: its first line is how they stand, its second what a tap does.
  function doorKey(one, stay, leave) {
    const id = `press-${one.who}`;
    if (stay && stay.out === null) {
      return button([gettext("In %(time)s", { time: clockAt(stay.in) }), el("span", { className: "does" }, ` ${gettext("sign out")}`), el("span", { className: "visually-hidden" }, ` ${one.name}`)], leave, "act big in", { id });
    }
    const come = () => act("in", { who: one.who }, gettext("%(name)s signed in", { name: given(one) }));
    if (stay) return button([gettext("Out %(time)s", { time: clockAt(stay.out) }), el("span", { className: "does" }, ` ${gettext("sign in again")}`), el("span", { className: "visually-hidden" }, ` ${one.name}`)], come, "act big quiet", { id });
    return button([gettext("Sign in"), el("span", { className: "visually-hidden" }, ` ${one.name}`)], come, "act big quiet", { id });
  }

  function leavingBox(child) {
    const barred = (name) => child.must_not.find((other) => sameName(other, name));
    const goes = (pickup) => {
      Object.assign(door, { leaving: "", typed: "", sure: "", warned: "" });
      act("out", { who: child.who, pickup }, gettext("%(child)s went home with %(name)s", { child: given(child), name: pickup }));
    };
    const typed = el("input", { id: "else", type: "text", className: "form-control", value: door.typed, maxLength: 120, autocomplete: "off" });
    typed.addEventListener("input", () => { door.typed = typed.value; });
    const another = () => {
      const name = ($("else").value || "").trim();
      const mustNot = barred(name);
      door.warned = !name ? gettext("Enter the name of the person picking up.") : mustNot
        ? gettext("%(name)s must not pick up %(child)s. Keep the child inside and call our office at %(phone)s.", { name: mustNot, child: given(child), phone: known.day.clinic.phone || office }) : "";
      if (!door.warned && door.sure === name) { goes(name); return; }
      door.sure = door.warned ? "" : name;
      draw();
    };
    return el("div", { className: "going" },
      el("p", {}, el("b", {}, gettext("Who is picking up %(child)s?", { child: given(child) }))),
      child.must_not.map((name) => el("p", { className: "must-not" }, glyph("cross"), ` ${gettext("MUST NOT PICK UP: %(name)s", { name })}`)),
      child.pickup_people.filter((one) => !barred(one.name)).map((one, at) => button(
        one.relation ? gettext("%(name)s, %(relation)s", one) : one.name, () => goes(one.name), "act big", { id: `pickup-${at}` })),
      el("label", { for: "else", className: "form-label requiredField" }, gettext("Someone else (name)")), typed,
      door.warned ? el("p", { className: "callout stop", role: "alert" }, glyph("cross"), ` ${door.warned}`) : null,
      door.sure ? el("p", { className: "callout due", role: "status" }, gettext("%(name)s is not on %(child)s’s list. Check a photo ID and call the guardian if you can. Tap again to release %(child)s.", { name: door.sure, child: given(child) })) : null,
      button(door.sure ? gettext("Yes, release to %(name)s", { name: door.sure }) : gettext("Someone else is picking up"), another, "act big quiet", { id: "else-press" }),
      button(gettext("Not leaving yet"), () => { Object.assign(door, { leaving: "", typed: "", sure: "", warned: "" }); draw(); $(`press-${child.who}`)?.focus(); }, "act big quiet", { id: "else-stay" }));
  }

  // At the line of somebody who is still in, with the question already asked.
  function askAtDoor(who) {
    Object.assign(door, { show: "all", find: "", leaving: who, typed: "", sure: "", warned: "" });
    if ($("find")) $("find").value = "";
    location.hash = "door";
    setTimeout(() => { $(`row-${who}`)?.scrollIntoView({ block: "center" }); $("pickup-0")?.focus({ preventScroll: true }); }, 80);
  }

  return { paint: paintDoor, askAtDoor };
}
