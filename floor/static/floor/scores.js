// Scores in thumb-sized keys: one child or one group, against nobody. Never sorted by how well it went.
import { $, button, el, refill, tell } from "./dom.js";
import { choice } from "./forms.js";
import { ladderShot, parZero } from "./rules.js";
import { gettext, ngettext } from "./words.js";

const LADDER = "step-back ladder";
const PAR_ZERO = "par-zero free throws";
const ways = () => [["ladder", gettext("Step-back ladder")], ["par", gettext("Par-zero")], ["count", gettext("Makes and misses")]];
const shotNamed = (kind) => ({ clean: gettext("clean"), rim: gettext("off the rim"), miss: gettext("miss") })[kind];
const groupNamed = (code) => gettext("Group %(code)s", { code });
const FRESH = { ladder: { level: 1, made: 0, tried: 0 }, par: { shots: [] }, count: { shots: [] } };
const key3 = (id, words, press, kind = "quiet") => button(words, press, `act big key ${kind}`, { id });
const signed = (number) => (number > 0 ? `+${number}` : number < 0 ? `−${-number}` : "0");

export function makeScores(floor) {
  const { known, act, draw, keepDrafts, clockAt } = floor;

  function scoring() {
    const draft = floor.draft("scores", { who: "", way: "ladder", what: "" });
    for (const way of Object.keys(FRESH)) draft[way] ||= structuredClone(FRESH[way]);
    return draft;
  }

  function paintScores(view) {
    if (!$("score-keys")) $("panel-scores").append(el("div", { id: "score-keys" }));
    const draft = scoring();
    const groups = (known.day.sheet?.groups || []).map((one) => [one.code, groupNamed(one.code)]);
    const everyone = [...groups, ["everybody", gettext("Whole group")]];
    const people = view.inNow.map((one) => [one.who, one.name]);
    const names = new Map([...everyone, ...people]);
    // Somebody may have gone home between two rounds.
    if (draft.who && !names.has(draft.who)) names.set(draft.who, view.people.get(draft.who)?.name || draft.who);
    const option = ([value, words]) => el("option", { value, defaultSelected: value === draft.who }, words);
    const pick = el("select", { id: "score-who", className: "form-select" },
      el("option", { value: "", defaultSelected: !draft.who }, gettext("Choose a child or a group")),
      el("optgroup", { label: gettext("Groups") }, everyone.map(option)),
      el("optgroup", { label: gettext("Children here now") }, [...names].filter(([value]) => !everyone.some(([code]) => code === value)).map(option)));
    pick.addEventListener("change", () => {
      Object.assign(draft, structuredClone(FRESH), { who: pick.value });
      keepDrafts();
      draw();
    });
    const keys = { ladder: ladderKeys, par: parKeys, count: countKeys }[draft.way];
    const begun = draft.ladder.tried || draft.par.shots.length || draft.count.shots.length;
    refill($("score-keys"),
      el("div", { className: "mb-3" }, el("label", { for: "score-who", className: "form-label requiredField" }, gettext("Who is shooting")), pick),
      choice(gettext("Activity"), ways(), draft.way, (way) => { draft.way = way; keepDrafts(); draw(); }, { className: "keys-row ways" }),
      draft.who ? keys(draft, names.get(draft.who)) : el("p", { className: "none" }, gettext("Choose who is shooting, then tap each shot.")),
      begun ? button(gettext("Undo last shot"), lastShotBack, "act big quiet", { id: "shot-back" }) : null,
      scoreList(view));
  }

  function shotsChanged(words) {
    keepDrafts();
    tell(words);
    draw();
  }

  // The keys read the draft when they are tapped: a second tap before the page is drawn counts as a second shot.
  function ladderKeys({ ladder }, name) {
    const shot = (hit) => {
      const draft = scoring();
      const { draft: next, score } = ladderShot(draft.ladder, hit);
      draft.ladder = { ...next, shots: score ? [] : [...(draft.ladder.shots || []), hit] };
      if (!score) { shotsChanged(hit ? gettext("made, %(made)s of %(tried)s", next) : gettext("missed, %(made)s of %(tried)s", next)); return; }
      keepDrafts();
      act("score", { who: draft.who, what: LADDER, level: score.level, made: score.made, tried: score.tried, form: "held" },
        gettext("%(name)s, level %(level)s: %(made)s of %(tried)s", { name, ...score }));
    };
    const broke = () => {
      const draft = scoring();
      const { level, made, tried } = draft.ladder;
      draft.ladder = structuredClone(FRESH.ladder);
      keepDrafts();
      if (!tried) { draw(); return; }
      act("score", { who: draft.who, what: LADDER, level, made, tried, form: "broke" }, gettext("%(name)s, level %(level)s: %(made)s of %(tried)s, form slipped", { name, level, made, tried }));
    };
    return el("div", { className: "scoring" },
      el("p", { className: "running" }, el("b", {}, gettext("Level %(level)s", ladder)), " ",
        ngettext("%(made)s of %(n)s shot made.", "%(made)s of %(n)s shots made.", ladder.tried, ladder), " ",
        gettext("After three makes, take one step back.")),
      el("div", { className: "keys-row" }, key3("hit", gettext("Made"), () => shot(true), "set"), key3("missed", gettext("Missed"), () => shot(false))),
      button(gettext("Stop: form is slipping"), broke, "act big quiet", { id: "broke" }));
  }

  function parKeys({ par }, name) {
    const total = parZero(par.shots);
    const shot = (kind) => {
      const draft = scoring();
      draft.par.shots.push(kind);
      shotsChanged(gettext("%(shot)s, total %(total)s", { shot: shotNamed(kind), total: parZero(draft.par.shots) }));
    };
    const finish = () => {
      const draft = scoring();
      const { shots } = draft.par;
      if (!shots.length) return;
      draft.par = structuredClone(FRESH.par);
      keepDrafts();
      act("score", { who: draft.who, what: PAR_ZERO, made: shots.filter((one) => one !== "miss").length, tried: shots.length, par: parZero(shots) },
        ngettext("%(name)s, par-zero: %(total)s in %(n)s shot", "%(name)s, par-zero: %(total)s in %(n)s shots", shots.length, { name, total: signed(parZero(shots)) }));
    };
    return el("div", { className: "scoring" },
      el("p", { className: "running" }, el("b", {}, gettext("Total %(total)s", { total: signed(total) })), " ",
        ngettext("after %(n)s shot.", "after %(n)s shots.", par.shots.length), " ", gettext("Use five shots if time is short, or nine or eighteen.")),
      el("div", { className: "keys-row three" }, key3("clean", gettext("Clean −1"), () => shot("clean"), "set"), key3("rim", gettext("Off the rim 0"), () => shot("rim")), key3("miss", gettext("Miss +1"), () => shot("miss"))),
      par.shots.length ? button(ngettext("Save this round (%(n)s shot)", "Save this round (%(n)s shots)", par.shots.length), finish, "act big", { id: "keep-par" }) : null);
  }

  function countKeys({ count, what }, name) {
    const made = count.shots.filter(Boolean).length;
    const shot = (hit) => {
      const draft = scoring();
      draft.count.shots.push(hit);
      shotsChanged(gettext("%(made)s of %(tried)s", { made: draft.count.shots.filter(Boolean).length, tried: draft.count.shots.length }));
    };
    const finish = () => {
      const draft = scoring();
      const { shots } = draft.count;
      if (!shots.length) return;
      draft.count = structuredClone(FRESH.count);
      keepDrafts();
      const hits = shots.filter(Boolean).length;
      act("score", { who: draft.who, what: (draft.what || "").trim().slice(0, 40) || "shots", made: hits, tried: shots.length }, gettext("%(name)s: %(made)s of %(tried)s", { name, made: hits, tried: shots.length }));
    };
    const stations = [...new Set((known.day.sheet?.slots || []).flatMap((slot) => Object.values(slot.stations).map((one) => one.name)))];
    const box = el("input", { id: "score-what", type: "text", className: "form-control", maxLength: 40, value: what || "", list: "score-whats", autocomplete: "off" });
    box.addEventListener("input", () => { scoring().what = box.value; keepDrafts(); });
    return el("div", { className: "scoring" },
      el("div", { className: "mb-3" }, el("label", { for: "score-what", className: "form-label" }, gettext("Activity")), box, el("datalist", { id: "score-whats" }, stations.map((value) => el("option", { value })))),
      el("p", { className: "running" }, el("b", {}, gettext("%(made)s of %(tried)s", { made, tried: count.shots.length }))),
      el("div", { className: "keys-row" }, key3("hit", gettext("Made"), () => shot(true), "set"), key3("missed", gettext("Missed"), () => shot(false))),
      count.shots.length ? button(gettext("Save %(made)s of %(tried)s", { made, tried: count.shots.length }), finish, "act big", { id: "keep-count" }) : null);
  }

  function lastShotBack() {
    const draft = scoring();
    const { ladder } = draft;
    if (draft.way === "ladder" && ladder.shots?.length) {
      const hit = ladder.shots.pop();
      Object.assign(ladder, { tried: ladder.tried - 1, made: ladder.made - (hit ? 1 : 0) });
    } else if (draft.way !== "ladder") draft[draft.way].shots.pop();
    shotsChanged(gettext("Last shot undone"));
  }

  // In the order of time, the newest first, ten at most.
  function scoreList({ state, people }) {
    const rows = [...state.scores].sort((one, two) => Date.parse(two.at) - Date.parse(one.at)).slice(0, 10);
    if (!rows.length) return null;
    const name = (who) => people.get(who)?.name || (who === "everybody" ? gettext("Whole group") : groupNamed(who));
    return [el("h3", {}, gettext("Saved scores")), el("ul", { className: "rows" }, rows.map((one) => el("li", { id: `score-${one.id}` },
      el("div", { className: "what" }, el("b", {}, name(one.who)), el("p", {}, `${clockAt(one.at)} ${one.level ? gettext("%(what)s, level %(level)s: %(made)s of %(tried)s", one) : gettext("%(what)s: %(made)s of %(tried)s", one)}`)),
      button([gettext("Delete this score"), el("span", { className: "visually-hidden" }, ` ${gettext("%(name)s: %(made)s of %(tried)s", { ...one, name: name(one.who) })}`)], () => act("undo", { of: one.id }, gettext("Score deleted")), "act quiet", { id: `back-${one.id}` }))))];
  }

  return { paint: paintScores };
}
