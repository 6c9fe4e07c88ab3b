// The door: who is in, signed in and out in two taps; children only to somebody named.
import { $, button, el, flag, glyph, refill, tel } from "./dom.js";
import { choice } from "./forms.js";
import { capital, sameName } from "./rules.js";

const SHOWN = [["all", "All"], ["absent", "Not in yet"], ["in", "In now"], ["adults", "Adults"]];
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
        el("div", { className: "door-find" }, el("label", { for: "find", className: "visually-hidden" }, "Find by name"), find),
        el("div", { id: "door-show" }), el("div", { id: "door-list" }), el("div", { id: "walkin" }));
      find.placeholder = "Find by name";
    }
    refill($("door-show"), choice("Show", SHOWN, door.show, (value) => { door.show = value; draw(); }, { className: "keys-row shown" }));
    const wanted = (one) => one.name.toLowerCase().includes(door.find.trim().toLowerCase())
      && (door.show === "in" ? view.here.has(one.who) : door.show === "absent" ? !view.here.has(one.who) : true);
    const children = door.show === "adults" ? [] : view.children.filter(wanted);
    const adults = view.adults.filter(wanted);
    const places = children.filter((one) => one.state !== "waiting");
    const waiting = children.filter((one) => one.state === "waiting");
    const part = (name, rows) => (rows.length ? [el("h3", {}, name), el("ul", { className: "rows door" }, rows)] : []);
    refill($("door-list"),
      part("Children", places.map((one) => childRow(one, view))),
      part("On the waiting list", waiting.map((one) => childRow(one, view))),
      part("Adults", adults.map((one) => adultRow(one, view))),
      children.length + adults.length ? null : el("p", { className: "none" }, door.find ? `Nobody here is called “${door.find}”.` : "Nobody to show here."));
    walkIn.paint();
  }

  function childRow(one, view) {
    const stay = stayOf(view.state, one.who);
    const marks = [
      one.allergies && flag("due", `allergy: ${one.allergies}`, "warn"),
      one.unread && flag("due", "allergies not loaded yet", "dots"),
      one.care_notes && flag("due", "care note", "dots"),
      one.waiver !== "in date" && flag("stop", `waiver ${one.waiver}`, "cross"),
      view.knocked.has(one.who) && flag("stop", "out of play today", "warn"),
      one.must_not.length > 0 && flag("stop", "somebody must not collect", "cross"),
      !one.photos && flag("plain", "no photos", "cross"),
      one.walked && flag("plain", "walked in"),
      one.state === "given up" && !known.day.clinic.called_off && flag("due", "no place any more", "dots"),
    ].filter(Boolean);
    const facts = [
      one.care_notes && ["Care note", one.care_notes],
      one.allergies && ["Allergies", one.allergies],
      one.emergency.name && ["In an emergency", [one.emergency.name, " ", one.emergency.phone ? tel(one.emergency.phone) : null]],
      ["Collected by", one.collectors.map((who) => el("p", {}, who.name, who.relation ? `, ${who.relation} ` : " ", who.phone ? tel(who.phone) : null))],
      one.must_not.length > 0 && ["Must not", one.must_not.map((name) => flag("stop", `MUST NOT COLLECT: ${name}`, "cross"))],
      stay?.collector && ["Went with", stay.collector],
    ].filter(Boolean);
    const wrong = stay && (stay.out === null
      ? button("Signed in by mistake: take it back", () => act("undo", { of: stay.in_id }, `${given(one)} was not in`), "act quiet", { id: `never-${one.who}` })
      : button("Signed out by mistake: take it back", () => act("undo", { of: stay.out_id }, `${given(one)} is still in`), "act quiet", { id: `still-${one.who}` }));
    return el("li", { id: `row-${one.who}`, className: door.leaving === one.who ? "leaving" : "" },
      el("details", { id: `more-${one.who}`, className: "what" },
        el("summary", {}, el("b", {}, one.name), el("span", { className: "marks" }, `age ${one.age}${one.group ? `, group ${one.group}` : ""}`, marks)),
        el("dl", { className: "facts" }, facts.map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words)))), wrong),
      doorKey(one, stay, () => askWhoCollects(one.who)),
      door.leaving === one.who ? leavingBox(one) : null);
  }

  // The question comes up under the thumb, and whole: not behind what stands at the foot.
  function askWhoCollects(who) {
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
        one.counts ? null : flag("plain", one.why_not ? `not counted: ${one.why_not}` : "not counted")),
      doorKey(one, stay, () => act("out", { who: one.who, collector: "" }, `${one.name} out`)));
  }

  // One key for each person: its first line is how they stand, its second what a tap does.
  function doorKey(one, stay, leave) {
    const id = `press-${one.who}`;
    if (stay && stay.out === null) {
      return button([`In ${clockAt(stay.in)}`, el("span", { className: "does" }, " sign out"), el("span", { className: "visually-hidden" }, ` ${one.name}`)], leave, "act big in", { id });
    }
    const come = () => act("in", { who: one.who }, `${given(one)} in`);
    if (stay) return button([`Out ${clockAt(stay.out)}`, el("span", { className: "does" }, " sign in again"), el("span", { className: "visually-hidden" }, ` ${one.name}`)], come, "act big quiet", { id });
    return button(["Sign in", el("span", { className: "visually-hidden" }, ` ${one.name}`)], come, "act big quiet", { id });
  }

  function leavingBox(child) {
    const barred = (name) => child.must_not.find((other) => sameName(other, name));
    const goes = (collector) => {
      Object.assign(door, { leaving: "", typed: "", sure: "", warned: "" });
      act("out", { who: child.who, collector }, `${given(child)} out with ${collector}`);
    };
    const typed = el("input", { id: "else", type: "text", className: "form-control", value: door.typed, maxLength: 120, autocomplete: "off" });
    typed.addEventListener("input", () => { door.typed = typed.value; });
    const another = () => {
      const name = ($("else").value || "").trim();
      const mustNot = barred(name);
      door.warned = !name ? "Type the name of who collects." : mustNot
        ? `${mustNot} must not collect ${given(child)}. Keep the child inside and call the office: ${known.day.clinic.phone || office}.` : "";
      if (!door.warned && door.sure === name) { goes(name); return; }
      door.sure = door.warned ? "" : name;
      draw();
    };
    return el("div", { className: "going" },
      el("p", {}, el("b", {}, `Who collects ${given(child)}?`)),
      child.must_not.map((name) => el("p", { className: "must-not" }, glyph("cross"), ` MUST NOT COLLECT: ${name}`)),
      child.collectors.filter((one) => !barred(one.name)).map((one, at) => button(
        one.relation ? `${one.name}, ${one.relation}` : one.name, () => goes(one.name), "act big", { id: `collect-${at}` })),
      el("label", { for: "else", className: "form-label requiredField" }, "Somebody else, by name"), typed,
      door.warned ? el("p", { className: "callout stop", role: "alert" }, glyph("cross"), ` ${door.warned}`) : null,
      door.sure ? el("p", { className: "callout due", role: "status" }, `${door.sure} is not on ${given(child)}’s list. Ask for a card with the name, and call the guardian if you can. Tap once more to let them go.`) : null,
      button(door.sure ? `Yes, ${door.sure} collects` : "Somebody else collects", another, "act big quiet", { id: "else-press" }),
      button("Stays here", () => { Object.assign(door, { leaving: "", typed: "", sure: "", warned: "" }); draw(); $(`press-${child.who}`)?.focus(); }, "act big quiet", { id: "else-stay" }));
  }

  // At the line of somebody who is still in, with the question already asked.
  function askAtDoor(who) {
    Object.assign(door, { show: "all", find: "", leaving: who, typed: "", sure: "", warned: "" });
    if ($("find")) $("find").value = "";
    location.hash = "door";
    setTimeout(() => { $(`row-${who}`)?.scrollIntoView({ block: "center" }); $("collect-0")?.focus({ preventScroll: true }); }, 80);
  }

  return { paint: paintDoor, askAtDoor };
}
