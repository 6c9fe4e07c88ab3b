// Who takes a child home: only somebody named, and never somebody who must not.
import { $, button, el, glyph } from "./dom.js";
import { given } from "./row.js";
import { sameName } from "./rules.js";
import { gettext } from "./words.js";

// `office` is the telephone number for when the center has none of its own.
export function makeGoing(floor, { office }) {
  const { known, act, draw } = floor;

  // Of which child it is asked, and what is typed and warned of so far.
  const going = { who: "", typed: "", sure: "", warned: "" };
  const ask = (who = "") => Object.assign(going, { who, typed: "", sure: "", warned: "" });

  function box(child) {
    const barred = (name) => child.must_not.find((other) => sameName(other, name));
    const goes = (pickup) => {
      ask();
      act("out", { who: child.who, pickup }, gettext("%(child)s went home with %(name)s", { child: given(child), name: pickup }));
    };
    const typed = el("input", { id: "else", type: "text", className: "form-control", value: going.typed, maxLength: 120, autocomplete: "off" });
    typed.addEventListener("input", () => { going.typed = typed.value; });
    const another = () => {
      const name = ($("else").value || "").trim();
      const mustNot = barred(name);
      going.warned = !name ? gettext("Enter the name of the person picking up.") : mustNot
        ? gettext("%(name)s must not pick up %(child)s. Keep the child inside and call our office at %(phone)s.", { name: mustNot, child: given(child), phone: known.day.clinic.phone || office }) : "";
      if (!going.warned && going.sure === name) { goes(name); return; }
      going.sure = going.warned ? "" : name;
      draw();
    };
    return el("div", { className: "going" },
      el("p", {}, el("b", {}, gettext("Who is picking up %(child)s?", { child: given(child) }))),
      child.must_not.map((name) => el("p", { className: "must-not" }, glyph("cross"), ` ${gettext("MUST NOT PICK UP: %(name)s", { name })}`)),
      child.pickup_people.filter((one) => !barred(one.name)).map((one, at) => button(
        one.relation ? gettext("%(name)s, %(relation)s", one) : one.name, () => goes(one.name), "act big", { id: `pickup-${at}` })),
      el("label", { for: "else", className: "form-label requiredField" }, gettext("Someone else (name)")), typed,
      going.warned ? el("p", { className: "callout stop", role: "alert" }, glyph("cross"), ` ${going.warned}`) : null,
      going.sure ? el("p", { className: "callout due", role: "status" }, gettext("%(name)s is not on %(child)s’s list. Check a photo ID and call the guardian if you can. Tap again to release %(child)s.", { name: going.sure, child: given(child) })) : null,
      button(going.sure ? gettext("Yes, release to %(name)s", { name: going.sure }) : gettext("Someone else is picking up"), another, "act big quiet", { id: "else-press" }),
      button(gettext("Not leaving yet"), () => { ask(); draw(); $(`press-${child.who}`)?.focus(); }, "act big quiet", { id: "else-stay" }));
  }

  return { ask, box, who: () => going.who };
}
