// Something happened: what, who, what was done, who was told. After a blow, the child is out: no decision on the floor.
import { $, el, flag, refill } from "./dom.js";
import { complain, makeForms } from "./forms.js";
import { gettext } from "./words.js";

// CDC HEADS UP, coach's sheet: remove from play; out on the same day and until cleared by a health-care provider; record;
// tell the parent. The wording is ours.
const blowSteps = () => [
  gettext("Take them out of play now, even if they say they feel fine."),
  gettext("They’re out for the rest of the day, and until a health care provider clears them."),
  gettext("Call or talk to the guardian today. Say what you saw."),
  gettext("Call 911 for: worse headache, vomiting, confusion, a seizure, one pupil larger than the other, or you can’t wake them."),
  gettext("Don’t diagnose. Leave that to a licensed provider."),
];

export function makeIncident(floor) {
  const { act, look, keepDrafts, clockAt } = floor;
  const { field, used } = makeForms(floor);

  function paintHappened(view) {
    if (!$("happened-list")) $("panel-happened").append(el("div", { id: "happened-list" }));
    if (!$("happened-form")) $("happened-list").before(happenedForm());
    paintWho(view);
    const { state, people } = view;
    const rows = [...state.incidents].sort((one, two) => Date.parse(two.at) - Date.parse(one.at));
    refill($("happened-list"), rows.length ? [el("h3", {}, gettext("Reported today")), el("ul", { className: "rows" }, rows.map((one) => el("li", { id: `happened-${one.id}` },
      el("div", { className: "what" }, el("b", {}, `${clockAt(one.at)}${people.has(one.who) ? `, ${people.get(one.who).name}` : ""}`), el("p", {}, one.what)),
      one.head ? flag("stop", gettext("out until cleared by a health care provider"), "warn") : null)))] : null);
  }

  function paintWho(view) {
    const draft = floor.draft("happened");
    const option = (value, words) => el("option", { value, defaultSelected: value === (draft.who || "") }, words);
    const here = (rows) => rows.filter((one) => view.here.has(one.who) || one.who === draft.who).map((one) => option(one.who, one.name));
    refill($("happened-who"), option("", gettext("No one on the list")), el("optgroup", { label: gettext("Children here now") }, here(view.children)),
      el("optgroup", { label: gettext("Adults here now") }, here(view.adults)));
  }

  function happenedForm() {
    const draft = floor.draft("happened");
    const who = el("select", { id: "happened-who", className: "form-select" });
    who.addEventListener("change", () => { draft.who = who.value; keepDrafts(); });
    const form = el("form", { id: "happened-form", noValidate: true, autocomplete: "off", className: "floor-form" },
      el("p", { className: "aside" }, gettext("Help first, then report. Just the facts, no blame. Only admins can read this.")),
      el("div", { className: "mb-3" }, el("label", { for: "happened-who", className: "form-label requiredField" }, gettext("Who")), who),
      field(gettext("What happened"), "what", draft, { long: true }),
      field(gettext("Hit to the head or body"), "head", draft, { type: "checkbox" }),
      el("div", { id: "blow", role: "status" }),
      field(gettext("First aid given"), "first_aid", draft, { long: true, optional: true }),
      el("div", { className: "pair" }, field(gettext("Who told the guardian"), "told", draft, { help: gettext("Leave empty if no one has told them yet.") }), field(gettext("Time"), "told_at", draft, { type: "time" })),
      field(gettext("Witnesses"), "witness", draft, { optional: true }),
      el("button", { type: "submit", className: "act big" }, gettext("Save the report")));
    const blow = () => $("blow").replaceChildren(...(draft.head ? [el("div", { className: "callout stop" }, el("p", {}, el("b", {}, gettext("Hit to the head or body"))), el("ol", { className: "steps" }, blowSteps().map((line) => el("li", {}, line))))] : []));
    form.querySelector("#f-head").addEventListener("change", blow);
    form.addEventListener("submit", (event) => { event.preventDefault(); writeDown(form, draft); });
    queueMicrotask(blow);
    return form;
  }

  async function writeDown(form, draft) {
    const say = (name) => (draft[name] || "").trim();
    const missing = !say("what") ? ["what", gettext("Describe what happened.")]
      : say("told_at") && !say("told") ? ["told", gettext("Enter who told the guardian, or leave both empty if no one has yet.")] : [];
    complain(form, ...missing);
    if (missing.length) return;
    const said = { who: say("told"), time: say("told_at") };
    const told = !said.who ? gettext("not yet")
      : said.time ? gettext("by %(who)s at %(time)s", said) : gettext("by %(who)s", said);
    const facts = { who: say("who"), what: say("what"), first_aid: say("first_aid"), told, witness: say("witness"), head: Boolean(draft.head) };
    const name = look().people.get(facts.who)?.name;
    await used(form, "happened", () => act("incident", facts, name ? gettext("%(name)s: report saved", { name }) : gettext("Report saved")));
    $("happened-who")?.focus();
  }

  return { paint: paintHappened };
}
