// Said before a child comes in for whom this clinic may not be: outside its ages, no adult planned, no spot, no room.
import { $, button, el, glyph } from "./dom.js";
import { agesOf, outsideAges, overLimit, spotsTaken, withoutAdult } from "./room.js";
import { given } from "./row.js";
import { whereNow, yearsOn } from "./rules.js";
import { slotName } from "./sheet.js";
import { makeSettling } from "./still.js";
import { gettext, joined, ngettext } from "./words.js";

const agesWords = (bands) => joined(agesOf(bands).map(([low, high]) => (low === high ? String(low) : gettext("%(low)s to %(high)s", { low, high }))));

const outsideWords = (child, age, bands) => gettext("%(child)s is %(age)s. This clinic is for ages %(ages)s.", { child, age, ages: agesWords(bands) });

function takenWords({ spots, here, low, high }) {
  const taken = low === null
    ? ngettext("The only spot is taken.", "All %(n)s spots are taken.", spots)
    : low === high
      ? ngettext("The only spot for age %(low)s is taken.", "All %(n)s spots for age %(low)s are taken.", spots, { low })
      : ngettext("The only spot for ages %(low)s to %(high)s is taken.", "All %(n)s spots for ages %(low)s to %(high)s are taken.", spots, { low, high });
  return `${taken} ${ngettext("%(n)s child with one of them is here now.", "%(n)s children with one of them are here now.", here)}`;
}

const limitWords = (child, inside, { space, capacity }) => [
  space
    ? ngettext("The fire limit of %(space)s is %(n)s person.", "The fire limit of %(space)s is %(n)s people.", capacity, { space })
    : ngettext("The fire limit here is %(n)s person.", "The fire limit here is %(n)s people.", capacity),
  ngettext("%(n)s person is signed in now.", "%(n)s people are signed in now.", inside),
  gettext("Keep %(child)s outside with their guardian, and ask the center.", { child }),
].join(" ");

const said = (words, kind = "due") => el("p", { className: `callout ${kind}`, role: "alert" }, glyph("warn"), ` ${words}`);

// Questions of coming.js, the fire limit first. Who was in before today has been asked already.
export function makeAges({ known, serverNow }) {
  const bands = () => known.day.bands ?? [];
  const first = (child, view) => !(view.state.stays[child.who] || []).length;
  const over = (view) => overLimit(view.here.size, known.day.capacity);
  const taken = (child, view) => (child.state === "waiting" ? spotsTaken(child, bands(), view.children, view.here) : null);

  function slotNow(view) {
    const { day } = known;
    return day.sheet?.slots[Math.max(0, whereNow(day, view.state, (serverNow() - new Date(day.clinic.starts_at)) / 60000).now)];
  }

  function reasons(child, view) {
    const { sheet } = known.day;
    const slot = slotNow(view);
    const alone = withoutAdult(child, sheet, sheet?.slots.indexOf(slot));
    const facts = { child: given(child), group: child.group, slot: slot ? slotName(slot) : "" };
    return [
      outsideAges(child.age, bands()) && outsideWords(given(child), child.age, bands()),
      alone === "no group" && gettext("%(child)s isn’t in a group on the run sheet. Choose a group, and tell its adult first.", facts),
      alone === "no adult" && gettext("Group %(group)s has no adult on the run sheet for “%(slot)s”. Find an adult for the group first.", facts),
    ].filter(Boolean);
  }

  const anyway = (code, { go }, look = "act big") => button(gettext("Sign in anyway"), () => go(true), look, { id: `${code}-anyway` });
  const notIn = (code, { stop }, look = "act big quiet") => button(gettext("Not coming in"), stop, look, { id: `${code}-stop` });

  return [
    {
      code: "limit",
      asks: (child, view) => over(view),
      // Who has a spot was counted on when the space was booked, and once inside must stand in the record.
      box: (child, view, ways) => [
        said(limitWords(given(child), view.here.size, known.day), "stop"), notIn("limit", ways, "act big"),
        child.state === "held" && !child.walked && anyway("limit", ways, "act big quiet")],
    },
    {
      code: "full",
      asks: (child, view) => first(child, view) && taken(child, view) !== null,
      box: (child, view, ways) => [
        said(`${gettext("%(child)s is on the waiting list.", { child: given(child) })} ${takenWords(taken(child, view))}`), anyway("full", ways), notIn("full", ways)],
    },
    {
      code: "ages",
      asks: (child, view) => first(child, view) && reasons(child, view).length > 0,
      box: (child, view, ways) => [reasons(child, view).map((words) => said(words)), anyway("ages", ways), notIn("ages", ways)],
    },
  ];
}

// The same before a walk-in is registered. `ask` comes to the codes despite which the child is registered, "" where there
// are none, and to null while it is said what stands against it: the second tap says it is meant.
export function makeWalkInAsking({ known, look, clinicDay }) {
  const still = makeSettling({ find: () => [], top: () => 0, says: () => "" });

  function troubles({ name, born }) {
    const view = look();
    const child = { who: "", age: yearsOn(born, clinicDay()) };
    const bands = known.day.bands ?? [];
    if (overLimit(view.here.size, known.day.capacity)) return [["limit", limitWords(name, view.here.size, known.day)]];
    const taken = spotsTaken(child, bands, view.children, view.here);
    return [
      ...(outsideAges(child.age, bands) ? [["ages", outsideWords(name, child.age, bands)]] : []),
      ...(taken ? [["full", takenWords(taken)]] : []),
    ];
  }

  function ask(form, facts) {
    const found = troubles(facts);
    const codes = found.map(([code]) => code).join();
    const send = form.querySelector("[type=submit]");
    send.id = "walkin-send";
    const limit = codes === "limit";
    if (codes === (form.dataset.asked ?? "") && !limit) return codes;
    form.dataset.asked = limit ? "" : codes;
    $("walkin-asked")?.remove();
    send.textContent = codes && !limit ? gettext("Register anyway") : gettext("Register and sign in");
    if (!codes) return "";
    send.before(el("div", { id: "walkin-asked", className: "mb-3" }, found.map(([, words]) => said(words, limit ? "stop" : "due"))));
    // The same place now means something else, and is no answer to what no one has read yet.
    still.settle(send.id);
    return null;
  }

  return ask;
}
