// Something happened: of what kind, to whom, what was done, who was told. After a blow the child is out: no decision on the floor.
import { $, el, flag, refill } from "./dom.js";
import { cautions } from "./first_aid.js";
import { choice, complain, makeForms } from "./forms.js";
import { SORTS, sortOf } from "./rules.js";
import { gettext } from "./words.js";

const sorts = () => ({
  head: gettext("Hit to the head"), breathing: gettext("Trouble breathing"), seizure: gettext("Seizure"),
  allergy: gettext("Allergic reaction"), bleeding: gettext("Heavy bleeding"), other: gettext("Something else"),
});
// Chosen by hand, so that a child isn't forgotten by not choosing.
const NOT_LISTED = "-";

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
      sortOf(one) === "head" ? flag("stop", gettext("out until cleared by a health care provider"), "warn")
        : sortOf(one) === "other" ? null : flag("due", sorts()[sortOf(one)], "warn"))))] : null);
  }

  function paintWho(view) {
    const draft = floor.draft("happened");
    const option = (value, words) => el("option", { value, defaultSelected: value === (draft.who || "") }, words);
    const here = (rows) => rows.filter((one) => view.here.has(one.who) || one.who === draft.who).map((one) => option(one.who, one.name));
    refill($("happened-who"), option("", gettext("Choose who")), option(NOT_LISTED, gettext("No one on the list")), el("optgroup", { label: gettext("Children here now") }, here(view.children)),
      el("optgroup", { label: gettext("Adults here now") }, here(view.adults)));
  }

  function happenedForm() {
    const draft = floor.draft("happened");
    const who = el("select", { id: "happened-who", className: "form-select" });
    who.addEventListener("change", () => { draft.who = who.value; keepDrafts(); });
    const form = el("form", { id: "happened-form", noValidate: true, autocomplete: "off", className: "floor-form" },
      el("p", { className: "aside" }, gettext("Help first, then report. Just the facts, no blame. Only admins can read your words. Our office sees who it was and what kind.")),
      el("div", { className: "mb-3" }, el("p", { className: "form-label requiredField" }, gettext("What kind of incident")), el("div", { id: "happened-sort" })),
      el("div", { id: "blow", role: "status" }),
      el("div", { className: "mb-3" }, el("label", { for: "happened-who", className: "form-label requiredField" }, gettext("Who")), who),
      field(gettext("What happened"), "what", draft, { long: true }),
      field(gettext("First aid given"), "first_aid", draft, { long: true, optional: true }),
      el("div", { className: "pair" }, field(gettext("Who told the guardian"), "told", draft, { help: gettext("Leave empty if no one has told them yet.") }), field(gettext("Time"), "told_at", draft, { type: "time" })),
      field(gettext("Witnesses"), "witness", draft, { optional: true }),
      el("button", { type: "submit", className: "act big" }, gettext("Save the report")));
    form.addEventListener("submit", (event) => { event.preventDefault(); writeDown(form, draft); });
    // Half filled in on a page from before there were sorts.
    if (draft.head) draft.sort ||= "head";
    queueMicrotask(() => paintSort(form, draft));
    return form;
  }

  function paintSort(form, draft) {
    const names = sorts();
    const choose = (value) => { draft.sort = value; keepDrafts(); complain(form); paintSort(form, draft); };
    refill($("happened-sort"), choice(gettext("What kind of incident"), SORTS.map((sort) => [sort, names[sort]]), draft.sort || "", choose, { id: "f-sort", tabIndex: -1 }));
    const line = draft.sort === "head" ? el("p", {}, gettext("A hard hit to the body that jolts the head counts, too.")) : null;
    refill($("blow"), draft.sort ? el("div", { className: "callout stop" }, el("p", {}, el("b", {}, names[draft.sort])), line,
      el("ol", { className: "steps" }, cautions(draft.sort).map((words) => el("li", {}, words)))) : null);
  }

  async function writeDown(form, draft) {
    const say = (name) => (draft[name] || "").trim();
    const missing = !draft.sort ? ["sort", gettext("Choose what kind of incident it was.")]
      : draft.sort !== "other" && !say("who") ? ["happened-who", gettext("Choose who it happened to, or “No one on the list”.")]
      : !say("what") ? ["what", gettext("Describe what happened.")]
      : say("told_at") && !say("told") ? ["told", gettext("Enter who told the guardian, or leave both empty if no one has yet.")] : [];
    complain(form, ...missing);
    if (missing.length) return;
    const said = { who: say("told"), time: say("told_at") };
    const told = !said.who ? gettext("not yet")
      : said.time ? gettext("by %(who)s at %(time)s", said) : gettext("by %(who)s", said);
    const facts = {
      who: say("who") === NOT_LISTED ? "" : say("who"), what: say("what"), first_aid: say("first_aid"), told,
      witness: say("witness"), sort: draft.sort, head: draft.sort === "head",
    };
    const name = look().people.get(facts.who)?.name;
    await used(form, "happened", () => act("incident", facts, name ? gettext("%(name)s: report saved", { name }) : gettext("Report saved")));
    $("happened-who")?.focus();
  }

  return { paint: paintHappened };
}
