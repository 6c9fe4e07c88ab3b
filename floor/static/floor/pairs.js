// Two lines that may be one child: both side by side, and the lead says whether they are one or two.
import { $, button, el, flag, tel } from "./dom.js";
import { given } from "./row.js";
import { gettext, localeOf } from "./words.js";

const keyOf = ({ one, other }) => [one.who, other.who].sort().join("_");

// `place` keeps the ids of this part of the page apart from those of another.
export function makePairs(floor, place) {
  const { act, draw, look } = floor;
  // Which pair is compared, under whose line, and whether it was said once that they are one.
  const asked = { key: "", at: "", sure: false };
  const idOf = (name, key, at) => [place, name, key, at].filter(Boolean).join("-");

  // The next question stands whole where it is looked for, and the keyboard goes on there.
  function ask(key = "", at = "", sure = false) {
    const before = { ...asked };
    Object.assign(asked, { key, at, sure });
    draw();
    if (key && !sure) $(idOf("box", key, at))?.scrollIntoView({ block: "center", behavior: "instant" });
    const next = key ? idOf(sure ? "sure" : "same", key, at) : idOf("compare", before.key, before.at);
    $(next)?.focus({ preventScroll: true });
  }

  const bornOn = (born) => new Date(`${born}T12:00:00Z`).toLocaleDateString(localeOf(), { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });

  // What is said now: an entry of this phone, or, where two phones differ, what says the opposite is undone.
  async function say(key, word) {
    const pair = look().pairs.find((other) => keyOf(other) === key);
    ask();
    if (!pair) return;
    const { one, other } = pair;
    const words = word === "same" ? gettext("%(name)s: merged into one child", { name: given(one) }) : gettext("%(name)s: two children", { name: given(one) });
    const against = pair.entries.filter(({ kind }) => kind !== word);
    for (const entry of against) await act("undo", { of: entry.id }, words);
    if (!pair.entries.some(({ kind }) => kind === word)) await act(word, { who: one.who, other: other.who }, words);
  }

  function card(one) {
    const guardians = one.pickup_people.filter((who) => who.relation === "guardian");
    return el("div", {}, el("h4", {}, one.name),
      el("p", {}, gettext("Born %(day)s", { day: bornOn(one.born) })),
      guardians.map((who) => el("p", {}, gettext("Guardian: %(name)s", who), who.phone ? [" ", tel(who.phone)] : null)),
      flag("plain", one.walked ? gettext("walk-in") : gettext("on the list")));
  }

  function box(pair, at) {
    const key = keyOf(pair);
    const id = (name) => idOf(name, key, at);
    const differ = pair.said === "differ" ? el("p", { className: "callout due" }, gettext("One phone says one child, another says two.")) : null;
    if (asked.key !== key || asked.at !== at) {
      return el("div", { className: "twins" }, differ, button([gettext("One child or two?"), el("span", { className: "visually-hidden" }, ` ${pair.one.name}, ${pair.other.name}`)], () => ask(key, at), "act quiet", { id: id("compare") }));
    }
    return el("div", { id: id("box"), className: "twins", role: "group", "aria-label": gettext("One child or two?") }, differ,
      el("div", { className: "two" }, card(pair.one), card(pair.other)),
      asked.sure
        ? [el("p", { className: "callout due", role: "alert" }, gettext("Both become one line, with everything in both. Merging two records can’t be undone.")),
          button(gettext("Yes, merge into one child"), () => say(key, "same"), "act big", { id: id("sure") })]
        : [button(gettext("They’re one child"), () => ask(key, at, true), "act big quiet", { id: id("same") }),
          button(gettext("They’re two children"), () => say(key, "apart"), "act big quiet", { id: id("apart") })],
      button(gettext("Not sure yet"), () => ask(), "act big quiet", { id: id("later") }));
  }

  // Two by one phone, when another's word has merged them already.
  function mergedRow({ words, actions }) {
    const fixed = () => actions.forEach((of) => act("undo", { of }, gettext("Fixed: %(entry)s", { entry: words })));
    return el("div", { className: "conflict", id: `merged-${actions.join("-")}` }, el("p", {}, el("b", {}, words)),
      el("p", {}, gettext("Merged records can’t be separated. If they’re two children, add the second one as a walk-in. Until this is settled, they count as two.")),
      button(gettext("It’s settled"), fixed, "act big quiet", { id: `settled-${actions[0]}` }));
  }

  // Under the line of one of the two.
  const under = (who, { pairs }) => pairs.filter(({ one, other }) => one.who === who || other.who === who).map((pair) => box(pair, who));

  function rows({ pairs, state }) {
    const merged = state.conflicts.filter((one) => one.code === "merged and apart");
    if (!pairs.length && !merged.length) return null;
    return [el("h3", {}, gettext("Perhaps one child")),
      pairs.map((pair) => el("div", { className: "conflict", id: `${place}-pair-${keyOf(pair)}` }, el("p", {}, el("b", {}, gettext("%(name)s and %(other)s", { name: pair.one.name, other: pair.other.name }))), box(pair, ""))),
      merged.map(mergedRow)];
  }

  return { under, rows };
}
