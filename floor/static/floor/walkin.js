// A walk-in: a child without a spot, registered and signed for at the door, on this phone.
import { makeWalkInAsking } from "./ages.js";
import { $, button, el } from "./dom.js";
import { complain, makeForms } from "./forms.js";
import { gettext } from "./words.js";

export function makeWalkIn(floor) {
  const { known, act, keepDrafts, clinicDay } = floor;
  const { field, used } = makeForms(floor);
  const askRoom = makeWalkInAsking(floor);

  function paintWalkIn() {
    if ($("walkin-form")) return;
    const draft = floor.draft("walkin");
    const toggle = button(gettext("Add a walk-in"), () => {
      $("walkin-form").hidden = !$("walkin-form").hidden;
      toggle.setAttribute("aria-expanded", String(!$("walkin-form").hidden));
      if (!$("walkin-form").hidden) $("f-name").focus();
    }, "act big quiet", { "aria-expanded": "false", "aria-controls": "walkin-form", id: "walkin-open" });
    const { waiver } = known.day;
    const form = el("form", { id: "walkin-form", hidden: true, noValidate: true, autocomplete: "off", className: "floor-form" },
      el("h3", {}, gettext("Walk-in child")),
      field(gettext("Child’s name"), "name", draft),
      field(gettext("Date of birth"), "born", draft, { type: "date", max: clinicDay() }),
      field(gettext("Guardian’s name"), "guardian", draft),
      field(gettext("Guardian’s phone"), "phone", draft, { type: "tel", maxLength: 40 }),
      field(gettext("Who else may pick up"), "pickup", draft, { optional: true }),
      field(gettext("Allergies"), "allergies", draft, { optional: true, long: true }),
      field(gettext("Anything else that helps us care for them"), "care_notes", draft, { optional: true, long: true }),
      el("fieldset", { id: "f-photo", tabIndex: -1, className: "mb-3" },
        el("legend", { className: "form-label requiredField" }, gettext("May we take photos?")),
        [["yes", gettext("Yes, photos are fine")], ["no", gettext("No photos")]].map(([value, words]) => {
          const box = el("input", { type: "radio", name: "photo", id: `f-photo-${value}`, value, checked: draft.photo === value, className: "form-check-input" });
          box.addEventListener("change", () => { draft.photo = value; keepDrafts(); });
          return el("div", { className: "form-check" }, box, el("label", { for: box.id, className: "form-check-label" }, words));
        })),
      waiver
        ? [el("h4", {}, waiver.title), el("div", { className: "waiver-box", tabIndex: 0, role: "region", "aria-label": waiver.title }, waiver.body.split(/\n+/).map((line) => el("p", {}, line))),
          field(gettext("Guardian signs by typing their name"), "signed", draft, { help: gettext("Hand them the phone. Typing their name below the waiver is their signature.") })]
        : el("p", { className: "callout due" }, gettext("There’s no waiver on this phone. Have the guardian sign a paper one.")),
      el("button", { type: "submit", className: "act big" }, gettext("Register and sign in")),
      button(gettext("Go back without adding"), () => toggle.click(), "act big quiet"));
    form.addEventListener("submit", (event) => { event.preventDefault(); walkIn(form, draft); });
    $("walkin").replaceChildren(toggle, form);
  }

  async function walkIn(form, draft) {
    const say = (name) => (draft[name] || "").trim();
    const wanted = [["name", gettext("Enter the child’s name.")], ["born", gettext("Enter the date of birth.")], ["guardian", gettext("Enter the guardian’s name.")],
      ["phone", gettext("Enter a phone number where we can reach the guardian today.")],
      ["photo", gettext("Ask the guardian about photos, then choose yes or no.")],
      ...(known.day.waiver ? [["signed", gettext("Ask the guardian to type their name to sign.")]] : [])];
    let missing = wanted.find(([name]) => !say(name));
    const born = say("born");
    if (!missing && (born > clinicDay() || born < "2000-01-01")) missing = ["born", gettext("Check the date of birth. It can’t be in the future or an adult’s.")];
    complain(form, ...(missing || []));
    if (missing) return;
    const despite = askRoom(form, { name: say("name"), born });
    if (despite === null) return;
    const facts = {
      ...(despite && { despite }),
      who: `w-${crypto.randomUUID()}`, name: say("name"), born, guardian: say("guardian"), phone: say("phone"), signed: say("signed"),
      allergies: say("allergies"), care_notes: say("care_notes"), pickup: say("pickup"), photo: draft.photo === "yes",
    };
    await used(form, "walkin", () => act("walk-in", facts, gettext("%(name)s registered and signed in", facts)));
    $("walkin-open")?.focus();
  }

  return { paint: paintWalkIn };
}
