// Scores in thumb-sized keys: one child or one group, against nobody. Never sorted by how well it went.
import { $, button, el, refill, tell } from "./dom.js";
import { choice } from "./forms.js";
import { counted, ladderShot, parZero } from "./rules.js";

const LADDER = "step-back ladder";
const PAR_ZERO = "par-zero free throws";
const WAYS = [["ladder", "Step-back ladder"], ["par", "Par-zero"], ["count", "Made of tried"]];
const SHOT_WORDS = { clean: "clean", rim: "off the rim", miss: "miss" };
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
    const groups = (known.day.sheet?.groups || []).map((one) => [one.code, `Group ${one.code}`]);
    const everyone = [...groups, ["everybody", "Everybody together"]];
    const people = view.inNow.map((one) => [one.who, one.name]);
    const names = new Map([...everyone, ...people]);
    // Somebody may have gone home between two rounds.
    if (draft.who && !names.has(draft.who)) names.set(draft.who, view.people.get(draft.who)?.name || draft.who);
    const option = ([value, words]) => el("option", { value, defaultSelected: value === draft.who }, words);
    const pick = el("select", { id: "score-who", className: "form-select" },
      el("option", { value: "", defaultSelected: !draft.who }, "Choose a child or a group"),
      el("optgroup", { label: "Groups" }, everyone.map(option)),
      el("optgroup", { label: "Children who are in" }, [...names].filter(([value]) => !everyone.some(([code]) => code === value)).map(option)));
    pick.addEventListener("change", () => {
      Object.assign(draft, structuredClone(FRESH), { who: pick.value });
      keepDrafts();
      draw();
    });
    const keys = { ladder: ladderKeys, par: parKeys, count: countKeys }[draft.way];
    const begun = draft.ladder.tried || draft.par.shots.length || draft.count.shots.length;
    refill($("score-keys"),
      el("div", { className: "mb-3" }, el("label", { for: "score-who", className: "form-label requiredField" }, "Who shoots"), pick),
      choice("Activity", WAYS, draft.way, (way) => { draft.way = way; keepDrafts(); draw(); }, { className: "keys-row ways" }),
      draft.who ? keys(draft, names.get(draft.who)) : el("p", { className: "none" }, "Choose who shoots, then tap each shot."),
      begun ? button("Take back the last shot", lastShotBack, "act big quiet", { id: "shot-back" }) : null,
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
      if (!score) { shotsChanged(`${hit ? "made" : "missed"}, ${next.made} of ${next.tried}`); return; }
      keepDrafts();
      act("score", { who: draft.who, what: LADDER, level: score.level, made: score.made, tried: score.tried, form: "held" },
        `${name}, level ${score.level}: ${score.made} of ${score.tried}`);
    };
    const broke = () => {
      const draft = scoring();
      const { level, made, tried } = draft.ladder;
      draft.ladder = structuredClone(FRESH.ladder);
      keepDrafts();
      if (!tried) { draw(); return; }
      act("score", { who: draft.who, what: LADDER, level, made, tried, form: "broke" }, `${name}, level ${level}: ${made} of ${tried}, form broke`);
    };
    return el("div", { className: "scoring" },
      el("p", { className: "running" }, el("b", {}, `Level ${ladder.level}`), ` ${ladder.made} made of ${counted(ladder.tried, "shot", "shots")}. Three makes, then one step back.`),
      el("div", { className: "keys-row" }, key3("hit", "Made", () => shot(true), "set"), key3("missed", "Missed", () => shot(false))),
      button("Form broke: stop here", broke, "act big quiet", { id: "broke" }));
  }

  function parKeys({ par }, name) {
    const total = parZero(par.shots);
    const shot = (kind) => {
      const draft = scoring();
      draft.par.shots.push(kind);
      shotsChanged(`${SHOT_WORDS[kind]}, total ${parZero(draft.par.shots)}`);
    };
    const finish = () => {
      const draft = scoring();
      const { shots } = draft.par;
      if (!shots.length) return;
      draft.par = structuredClone(FRESH.par);
      keepDrafts();
      act("score", { who: draft.who, what: PAR_ZERO, made: shots.filter((one) => one !== "miss").length, tried: shots.length, par: parZero(shots) },
        `${name}, par-zero: ${signed(parZero(shots))} in ${counted(shots.length, "shot", "shots")}`);
    };
    return el("div", { className: "scoring" },
      el("p", { className: "running" }, el("b", {}, `Total ${signed(total)}`), ` after ${counted(par.shots.length, "shot", "shots")}. Five when short, else nine or eighteen.`),
      el("div", { className: "keys-row three" }, key3("clean", "Clean −1", () => shot("clean"), "set"), key3("rim", "Off the rim 0", () => shot("rim")), key3("miss", "Miss +1", () => shot("miss"))),
      par.shots.length ? button(`Keep this round of ${par.shots.length}`, finish, "act big", { id: "keep-par" }) : null);
  }

  function countKeys({ count, what }, name) {
    const made = count.shots.filter(Boolean).length;
    const shot = (hit) => {
      const draft = scoring();
      draft.count.shots.push(hit);
      shotsChanged(`${draft.count.shots.filter(Boolean).length} of ${draft.count.shots.length}`);
    };
    const finish = () => {
      const draft = scoring();
      const { shots } = draft.count;
      if (!shots.length) return;
      draft.count = structuredClone(FRESH.count);
      keepDrafts();
      const hits = shots.filter(Boolean).length;
      act("score", { who: draft.who, what: (draft.what || "").trim().slice(0, 40) || "shots", made: hits, tried: shots.length }, `${name}: ${hits} of ${shots.length}`);
    };
    const stations = [...new Set((known.day.sheet?.slots || []).flatMap((slot) => Object.values(slot.stations).map((one) => one.name)))];
    const box = el("input", { id: "score-what", type: "text", className: "form-control", maxLength: 40, value: what || "", list: "score-whats", autocomplete: "off" });
    box.addEventListener("input", () => { scoring().what = box.value; keepDrafts(); });
    return el("div", { className: "scoring" },
      el("div", { className: "mb-3" }, el("label", { for: "score-what", className: "form-label" }, "At what"), box, el("datalist", { id: "score-whats" }, stations.map((value) => el("option", { value })))),
      el("p", { className: "running" }, el("b", {}, `${made} of ${count.shots.length}`)),
      el("div", { className: "keys-row" }, key3("hit", "Made", () => shot(true), "set"), key3("missed", "Missed", () => shot(false))),
      count.shots.length ? button(`Keep ${made} of ${count.shots.length}`, finish, "act big", { id: "keep-count" }) : null);
  }

  function lastShotBack() {
    const draft = scoring();
    const { ladder } = draft;
    if (draft.way === "ladder" && ladder.shots?.length) {
      const hit = ladder.shots.pop();
      Object.assign(ladder, { tried: ladder.tried - 1, made: ladder.made - (hit ? 1 : 0) });
    } else if (draft.way !== "ladder") draft[draft.way].shots.pop();
    shotsChanged("Last shot taken back");
  }

  // In the order of time, the newest first, ten at most.
  function scoreList({ state, people }) {
    const rows = [...state.scores].sort((one, two) => Date.parse(two.at) - Date.parse(one.at)).slice(0, 10);
    if (!rows.length) return null;
    const name = (who) => people.get(who)?.name || (who === "everybody" ? "Everybody together" : `Group ${who}`);
    return [el("h3", {}, "Kept so far"), el("ul", { className: "rows" }, rows.map((one) => el("li", { id: `score-${one.id}` },
      el("div", { className: "what" }, el("b", {}, name(one.who)), el("p", {}, `${clockAt(one.at)} ${one.what}${one.level ? `, level ${one.level}` : ""}: ${one.made} of ${one.tried}`)),
      button(["Take back", el("span", { className: "visually-hidden" }, ` ${name(one.who)}, ${one.made} of ${one.tried}`)], () => act("undo", { of: one.id }, "Score taken back"), "act quiet", { id: `back-${one.id}` }))))];
  }

  return { paint: paintScores };
}
