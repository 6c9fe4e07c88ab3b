// A child without a place: registered and signed for at the door, on this phone.
import { $, button, el } from "./dom.js";
import { complain, makeForms } from "./forms.js";

export function makeWalkIn(floor) {
  const { known, act, keepDrafts, clinicDay } = floor;
  const { field, used } = makeForms(floor);

  function paintWalkIn() {
    if ($("walkin-form")) return;
    const draft = floor.draft("walkin");
    const toggle = button("Register a child without a place", () => {
      $("walkin-form").hidden = !$("walkin-form").hidden;
      toggle.setAttribute("aria-expanded", String(!$("walkin-form").hidden));
      if (!$("walkin-form").hidden) $("f-name").focus();
    }, "act big quiet", { "aria-expanded": "false", "aria-controls": "walkin-form", id: "walkin-open" });
    const { waiver } = known.day;
    const form = el("form", { id: "walkin-form", hidden: true, noValidate: true, autocomplete: "off", className: "floor-form" },
      el("h3", {}, "A child without a place"),
      field("Child’s name", "name", draft),
      field("Date of birth", "born", draft, { type: "date", max: clinicDay() }),
      field("Guardian’s name", "guardian", draft),
      field("Guardian’s telephone", "phone", draft, { type: "tel", maxLength: 40 }),
      field("Who else may collect", "collector", draft, { optional: true }),
      field("Allergies", "allergies", draft, { optional: true, long: true }),
      field("What else should we know to look after them", "care_notes", draft, { optional: true, long: true }),
      el("fieldset", { id: "f-photo", tabIndex: -1, className: "mb-3" },
        el("legend", { className: "form-label requiredField" }, "May photos be taken?"),
        [["yes", "Yes, photos are fine"], ["no", "No photos"]].map(([value, words]) => {
          const box = el("input", { type: "radio", name: "photo", id: `f-photo-${value}`, value, checked: draft.photo === value, className: "form-check-input" });
          box.addEventListener("change", () => { draft.photo = value; keepDrafts(); });
          return el("div", { className: "form-check" }, box, el("label", { for: box.id, className: "form-check-label" }, words));
        })),
      waiver
        ? [el("h4", {}, waiver.title), el("div", { className: "waiver-box", tabIndex: 0, role: "region", "aria-label": waiver.title }, waiver.body.split(/\n+/).map((line) => el("p", {}, line))),
          field("Guardian signs by typing their name", "signed", draft, { help: "Hand them the phone: the name under the text above is their signature." })]
        : el("p", { className: "callout due" }, "No waiver text is on this phone: have the guardian sign one on paper."),
      el("button", { type: "submit", className: "act big" }, "Register and sign in"),
      button("Not now", () => toggle.click(), "act big quiet"));
    form.addEventListener("submit", (event) => { event.preventDefault(); walkIn(form, draft); });
    $("walkin").replaceChildren(toggle, form);
  }

  async function walkIn(form, draft) {
    const say = (name) => (draft[name] || "").trim();
    const wanted = [["name", "Type the child’s name."], ["born", "Give the date of birth."], ["guardian", "Type the guardian’s name."],
      ["phone", "Give a telephone number to reach the guardian today."], ["photo", "Ask whether photos may be taken."],
      ...(known.day.waiver ? [["signed", "The guardian signs by typing their name."]] : [])];
    let missing = wanted.find(([name]) => !say(name));
    const born = say("born");
    if (!missing && (born > clinicDay() || born < "2000-01-01")) missing = ["born", "The date of birth must be a child’s, and not after today."];
    complain(form, ...(missing || []));
    if (missing) return;
    const facts = {
      who: `w-${crypto.randomUUID()}`, name: say("name"), born, guardian: say("guardian"), phone: say("phone"), signed: say("signed"),
      allergies: say("allergies"), care_notes: say("care_notes"), collector: say("collector"), photo: draft.photo === "yes",
    };
    await used(form, "walkin", () => act("walk-in", facts, `${facts.name} registered and in`));
    $("walkin-open")?.focus();
  }

  return { paint: paintWalkIn };
}
