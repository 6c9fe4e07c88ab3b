// A walk-in: a child without a spot, registered and signed for at the door, on this phone.
import { makeWalkInAsking } from "./ages.js";
import { $, button, el } from "./dom.js";
import { complain, makeForms } from "./forms.js";
import { textIn, waiverText } from "./waiver.js";
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
    const form = el("form", { id: "walkin-form", hidden: true, noValidate: true, autocomplete: "off", className: "floor-form" },
      el("h3", {}, gettext("Walk-in child")),
      field(gettext("Child’s name"), "name", draft),
      field(gettext("Date of birth"), "born", draft, { type: "date", max: clinicDay() }),
      field(gettext("Guardian’s name"), "guardian", draft),
      field(gettext("Guardian’s phone"), "phone", draft, { type: "tel", maxLength: 40 }),
      field(gettext("Who else may pick up"), "pickup", draft, { optional: true }),
      pair("allergic", gettext("Does the child have allergies?"), [["no", gettext("No known allergies")], ["yes", gettext("Yes")]], draft),
      field(gettext("If yes, which ones, and what to do if there’s a reaction"), "allergies", draft, { optional: true, long: true }),
      field(gettext("Anything else that helps us care for them"), "care_notes", draft, { optional: true, long: true }),
      pair("photo", gettext("May we take photos?"), [["yes", gettext("Yes, photos are fine")], ["no", gettext("No photos")]], draft),
      el("div", { id: "walkin-waiver" }),
      el("button", { type: "submit", className: "act big" }, gettext("Register and sign in")),
      button(gettext("Go back without adding"), () => toggle.click(), "act big quiet"));
    form.addEventListener("submit", (event) => { event.preventDefault(); walkIn(form, draft); });
    $("walkin").replaceChildren(toggle, form);
    paintWaiver(draft);
  }

  const ways = () => ({ onPhone: known.day.policy.sign_on_phone && known.day.waivers.length > 0, onPaper: known.day.policy.sign_on_paper });

  // What is wrong where nobody has signed: the field, and what to do.
  function unsigned(draft) {
    const { onPhone, onPaper } = ways();
    if (onPaper && draft.paper) return null;
    if (onPhone) return ["signed", gettext("Ask the guardian to type their name to sign.")];
    return onPaper ? ["paper", gettext("The guardian signs on paper first. Then check this box.")]
      : ["name", gettext("No one can sign at the door today, so this child can’t come in.")];
  }

  // Signed on this phone in the guardian's language, or on paper, as the organization's rules allow.
  function paintWaiver(draft) {
    const { waivers } = known.day;
    const { onPhone, onPaper } = ways();
    draft.sign ||= { language: "en" };
    $("walkin-waiver").replaceChildren(...[
      onPhone ? waiverText(waivers, draft.sign, () => { keepDrafts(); paintWaiver(draft); $(`waiver-${draft.sign.language}`)?.focus(); }) : null,
      onPhone ? field(gettext("Guardian signs by typing their name"), "signed", draft, { optional: onPaper, help: gettext("Hand them the phone. Typing their name below the waiver is their signature.") }) : null,
      onPaper ? field(gettext("Guardian signed on paper, sheet in the folder"), "paper", draft, { type: "checkbox" }) : null,
      onPhone || onPaper ? null : el("p", { className: "callout stop" }, gettext("No one can sign at the door today, so a walk-in can’t come in. Call our office at %(phone)s.", { phone: known.day.clinic.phone })),
    ].flat(9).filter(Boolean));
  }

  // One of two answers, neither of them chosen at first: what nobody asked must not look answered.
  function pair(name, question, answers, draft) {
    return el("fieldset", { id: `f-${name}`, tabIndex: -1, className: "mb-3" },
      el("legend", { className: "form-label requiredField" }, question),
      answers.map(([value, words]) => {
        const box = el("input", { type: "radio", name, id: `f-${name}-${value}`, value, checked: draft[name] === value, className: "form-check-input" });
        box.addEventListener("change", () => { draft[name] = value; keepDrafts(); });
        return el("div", { className: "form-check" }, box, el("label", { for: box.id, className: "form-check-label" }, words));
      }));
  }

  async function walkIn(form, draft) {
    const say = (name) => (draft[name] || "").trim();
    const wanted = [["name", gettext("Enter the child’s name.")], ["born", gettext("Enter the date of birth.")], ["guardian", gettext("Enter the guardian’s name.")],
      ["phone", gettext("Enter a phone number where we can reach the guardian today.")],
      ["allergic", gettext("Ask the guardian about allergies, then choose no or yes.")],
      ...(draft.allergic === "yes" ? [["allergies", gettext("Enter which allergies.")]] : []),
      ["photo", gettext("Ask the guardian about photos, then choose yes or no.")],
    ];
    let missing = wanted.find(([name]) => !say(name)) || (say("signed") ? null : unsigned(draft));
    const born = say("born");
    if (!missing && (born > clinicDay() || born < "2000-01-01")) missing = ["born", gettext("Check the date of birth. It can’t be in the future or an adult’s.")];
    if (!missing && draft.allergic === "no" && say("allergies")) missing = ["allergies", gettext("You chose no known allergies. Choose yes, or clear this box.")];
    complain(form, ...(missing || []));
    if (missing) return;
    const despite = askRoom(form, { name: say("name"), born });
    if (despite === null) return;
    const facts = {
      ...(despite && { despite }),
      who: `w-${crypto.randomUUID()}`, name: say("name"), born, guardian: say("guardian"), phone: say("phone"), signed: say("signed"),
      allergies: say("allergies"), no_allergies: draft.allergic === "no", care_notes: say("care_notes"), pickup: say("pickup"), photo: draft.photo === "yes",
      ...(say("signed") && draft.sign ? { language: draft.sign.language, version: textIn(known.day.waivers, draft.sign.language).version } : { paper: true }),
    };
    await used(form, "walkin", () => act("walk-in", facts, gettext("%(name)s registered and signed in", facts)));
    $("walkin-open")?.focus();
  }

  return { paint: paintWalkIn };
}
