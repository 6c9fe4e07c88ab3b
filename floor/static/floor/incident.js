// Something happened: what, who, what was done, who was told. After a blow, the child is out: no decision on the floor.
import { $, el, flag, refill } from "./dom.js";
import { complain, makeForms } from "./forms.js";

// CDC HEADS UP, coach's sheet: remove from play; out on the same day and until cleared by a health-care provider; record;
// tell the parent. The wording is ours.
const BLOW = [
  "Take them out of play now, however well they say they feel.",
  "Out for the rest of the day, and until a health-care provider has cleared them.",
  "Tell the guardian today, by voice, and say what you saw.",
  "Worse headache, vomiting, confusion, a fit, one pupil larger, can’t be woken: call 911.",
  "We don’t judge injuries on the floor. Licensed care does.",
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
    refill($("happened-list"), rows.length ? [el("h3", {}, "Written down today"), el("ul", { className: "rows" }, rows.map((one) => el("li", { id: `happened-${one.id}` },
      el("div", { className: "what" }, el("b", {}, `${clockAt(one.at)}${people.has(one.who) ? `, ${people.get(one.who).name}` : ""}`), el("p", {}, one.what)),
      one.head ? flag("stop", "out until cleared by a health-care provider", "warn") : null)))] : null);
  }

  function paintWho(view) {
    const draft = floor.draft("happened");
    const option = (value, words) => el("option", { value, defaultSelected: value === (draft.who || "") }, words);
    const here = (rows) => rows.filter((one) => view.here.has(one.who) || one.who === draft.who).map((one) => option(one.who, one.name));
    refill($("happened-who"), option("", "Nobody on the list"), el("optgroup", { label: "Children who are in" }, here(view.children)),
      el("optgroup", { label: "Adults who are in" }, here(view.adults)));
  }

  function happenedForm() {
    const draft = floor.draft("happened");
    const who = el("select", { id: "happened-who", className: "form-select" });
    who.addEventListener("change", () => { draft.who = who.value; keepDrafts(); });
    const form = el("form", { id: "happened-form", noValidate: true, autocomplete: "off", className: "floor-form" },
      el("p", { className: "aside" }, "First help, then write. Plain facts, no blame. Only the admin of the office reads these words."),
      el("div", { className: "mb-3" }, el("label", { for: "happened-who", className: "form-label requiredField" }, "Who"), who),
      field("What happened", "what", draft, { long: true }),
      field("A blow to the head or the body", "head", draft, { type: "checkbox" }),
      el("div", { id: "blow", role: "status" }),
      field("First aid given", "first_aid", draft, { long: true, optional: true }),
      el("div", { className: "pair" }, field("Guardian told by", "told", draft, { help: "Leave empty if not told yet." }), field("At", "told_at", draft, { type: "time" })),
      field("Who saw it", "witness", draft, { optional: true }),
      el("button", { type: "submit", className: "act big" }, "Write it down"));
    const blow = () => $("blow").replaceChildren(...(draft.head ? [el("div", { className: "callout stop" }, el("p", {}, el("b", {}, "A blow to the head or the body")), el("ol", { className: "steps" }, BLOW.map((line) => el("li", {}, line))))] : []));
    form.querySelector("#f-head").addEventListener("change", blow);
    form.addEventListener("submit", (event) => { event.preventDefault(); writeDown(form, draft); });
    queueMicrotask(blow);
    return form;
  }

  async function writeDown(form, draft) {
    const say = (name) => (draft[name] || "").trim();
    const missing = !say("what") ? ["what", "Say in a few words what happened."]
      : say("told_at") && !say("told") ? ["told", "Who told the guardian? Leave both empty if nobody has yet."] : [];
    complain(form, ...missing);
    if (missing.length) return;
    const told = say("told") ? `by ${say("told")}${say("told_at") ? ` at ${say("told_at")}` : ""}` : "not yet";
    const facts = { who: say("who"), what: say("what"), first_aid: say("first_aid"), told, witness: say("witness"), head: Boolean(draft.head) };
    const name = look().people.get(facts.who)?.name;
    await used(form, "happened", () => act("incident", facts, `${name ? `${name}: ` : ""}written down`));
    $("happened-who")?.focus();
  }

  return { paint: paintHappened };
}
