// Closing: nobody forgotten, phones that differ settled, minutes and notes kept, then the day is closed.
import { $, button, el, flag, glyph, refill } from "./dom.js";
import { complain, makeForms } from "./forms.js";
import { makePairs } from "./pairs.js";
import { minutesIn, written } from "./rules.js";
import { gettext, joined, localeOf, ngettext } from "./words.js";

// What can be read of an entry that may not be as this page writes them: no more than a form here takes.
const cut = (text, most) => (text.length > most ? `${text.slice(0, most)}…` : text);
const legible = (one) => (one !== null && typeof one === "object" ? cut(written(one), 100) : cut(String(one), 2000));

function entryWords({ kind, facts: all }, people) {
  const facts = Object.fromEntries(Object.entries(all ?? {}).map(([name, one]) => [name, legible(one)]));
  const name = people.get(facts.who)?.name || facts.name || "";
  const minutes = Number(facts.minutes) || 0;
  const said = {
    in: gettext("in"), out: facts.pickup ? gettext("out with %(name)s", { name: facts.pickup }) : gettext("out"),
    "walk-in": gettext("registered as a walk-in"), undo: gettext("An entry was undone"),
    score: gettext("%(what)s: %(made)s of %(tried)s", facts), incident: facts.what, slot: gettext("Time slot started"),
    note: gettext("Note: %(words)s", facts), hours: ngettext("%(n)s minute", "%(n)s minutes", minutes), close: gettext("The day closed"),
    waiver: gettext("waiver signed at the door"), same: gettext("two lines are one child"), apart: gettext("two lines are two children"),
  }[kind] ?? `${legible(kind)}: ${Object.values(facts).join(", ")}`;
  return `${name} ${said}`.trim();
}

// `askAtDoor(who)` moves to the door, where somebody is signed out; `leavePhone` erases this phone.
export function makeClosing(floor, { askAtDoor, leavePhone }) {
  const { known, act, draw, look, sendAgain, keepDrafts, serverNow, ours, clockAt } = floor;
  const { field } = makeForms(floor);
  const pairs = makePairs(floor, "closing");

  const closing = { leave: false, minutesWrong: "" };

  function paintClosing(view) {
    if (!$("closing-state")) {
      $("panel-closing").append(el("div", { id: "closing-state" }), noteForm(), el("div", { id: "closing-end" }));
    }
    const { state, inNow } = view;
    refill($("closing-state"),
      el("h3", {}, gettext("Children still here")),
      inNow.length
        ? [el("p", { className: "callout stop" }, glyph("warn"), ` ${ngettext("%(n)s child is not signed out.", "%(n)s children are not signed out.", inNow.length)}`),
          el("ul", { className: "rows" }, inNow.map((one) => el("li", { id: `still-${one.who}` }, el("div", { className: "what" }, el("b", {}, one.name)),
            button([gettext("Sign out"), el("span", { className: "visually-hidden" }, ` ${one.name}`)], () => askAtDoor(one.who), "act big quiet", { id: `still-out-${one.who}` }))))]
        : el("p", {}, flag("set", gettext("every child is signed out"), "tick")),
      conflictRows(view), pairs.rows(view), refusedRows(view), minuteRows(view), noteRows(state));
    refill($("closing-end"), closeRows(view));
  }

  function version({ at, kind, pickup, by }) {
    const facts = { time: clockAt(at), who: pickup, by };
    if (kind === "out" && pickup) return gettext("Out at %(time)s with %(who)s, %(by)s", facts);
    if (kind === "out") return gettext("Out at %(time)s, %(by)s", facts);
    return kind === "in" ? gettext("In at %(time)s, %(by)s", facts) : gettext("Here at %(time)s, %(by)s", facts);
  }

  function conflictRows({ state }) {
    // Those of two lines that may be one child are settled with the pair.
    const conflicts = state.conflicts.filter((one) => !["one child or two", "merged and apart"].includes(one.code));
    if (!conflicts.length) return null;
    return [el("h3", {}, gettext("Two phones recorded different things")), conflicts.map((one) => el("div", { className: "conflict", id: `conflict-${one.actions.join("-")}` },
      el("p", {}, el("b", {}, one.words)),
      one.versions.length > 1
        ? one.versions.map((said, at) => el("div", { className: "version" }, el("p", {}, version(said)),
          button(gettext("Keep this one"), () => one.versions.filter((other) => other.id !== said.id)
            .forEach((other) => act("undo", { of: other.id }, gettext("Fixed: %(entry)s", { entry: version(said) }))), "act big quiet", { id: `right-${one.actions[at]}` })))
        : [el("p", {}, one.versions.map(version).join(""), ". ", gettext("If they were here, undo this, then sign them in and out under Door.")),
          button(gettext("Undo this sign-out"), () => act("undo", { of: one.actions[0] }, gettext("Undone")), "act big quiet", { id: `right-${one.actions[0]}` })]))];
  }

  function refusedRows({ people }) {
    if (!known.refused.length) return null;
    return [el("h3", {}, gettext("Entries that weren’t accepted")), el("p", { className: "aside" }, gettext("They stay here until this phone is erased. Tell our office what they say.")),
      el("ul", { className: "rows" }, known.refused.map((one) => el("li", { id: `refused-${one.id}` },
        el("div", { className: "what" }, el("b", {}, `${clockAt(ours(one.at))} ${entryWords(one, people)}`), el("p", {}, one.why)),
        button(gettext("Send this entry again"), () => sendAgain(one.id), "act quiet", { id: `again-${one.id}` }))))];
  }

  function minuteRows({ state, adults }) {
    const came = adults.filter((one) => (state.stays[one.who] || []).length);
    if (!came.length) return [el("h3", {}, gettext("Adult hours")), el("p", {}, gettext("No adults signed in."))];
    const typed = floor.draft("minutes");
    const until = serverNow().toISOString();
    return [el("h3", {}, gettext("Adult hours")),
      el("ul", { className: "rows" }, came.map((one) => {
        const agreed = state.minutes[one.who];
        const box = el("input", { id: `minutes-${one.who}`, type: "number", inputMode: "numeric", min: 0, max: 1440, className: "form-control", value: typed[one.who] ?? agreed ?? minutesIn(state.stays[one.who], until) });
        box.addEventListener("input", () => { typed[one.who] = box.value; keepDrafts(); draw(); });
        const changed = agreed !== undefined && typed[one.who] !== undefined && Number(typed[one.who]) !== agreed;
        return el("li", { id: `gave-${one.who}` }, el("div", { className: "what" }, el("label", { for: box.id }, one.name), " ",
          agreed !== undefined && !changed ? flag("set", ngettext("%(n)s minute saved", "%(n)s minutes saved", agreed), "tick") : flag("due", gettext("not saved yet"), "dots")), box);
      })),
      button(gettext("Save these minutes"), () => keepMinutes(came, typed), "act big quiet", { id: "keep-minutes" }),
      closing.minutesWrong ? el("p", { className: "callout stop", role: "alert" }, closing.minutesWrong) : null];
  }

  async function keepMinutes(came, typed) {
    const wrong = came.find((one) => !/^\d{1,4}$/.test($(`minutes-${one.who}`).value.trim()) || Number($(`minutes-${one.who}`).value) > 1440);
    closing.minutesWrong = wrong ? gettext("Enter %(name)s’s minutes as a whole number, up to 1,440.", wrong) : "";
    if (wrong) { draw(); return; }
    const wanted = came.map((one) => [one, Number($(`minutes-${one.who}`).value)]);
    for (const [one, minutes] of wanted) {
      if (look().state.minutes[one.who] !== minutes) await act("hours", { who: one.who, minutes }, ngettext("%(name)s: %(n)s minute saved", "%(name)s: %(n)s minutes saved", minutes, one));
      delete typed[one.who];
    }
    keepDrafts();
    draw();
  }

  function noteRows({ notes }) {
    return [el("h3", {}, gettext("Notes for next time")), notes.length ? el("ul", { className: "rows" }, notes.map((one) => el("li", { id: `note-${one.id}` }, el("div", { className: "what" }, el("p", {}, one.words)),
      button(gettext("Delete this note"), () => act("undo", { of: one.id }, gettext("Note deleted")), "act quiet", { id: `note-back-${one.id}` })))) : null];
  }

  function noteForm() {
    const draft = floor.draft("note");
    const form = el("form", { id: "note-form", noValidate: true, className: "floor-form" }, field(gettext("What should the next lead know?"), "words", draft, { long: true, optional: true }),
      el("button", { type: "submit", className: "act big quiet" }, gettext("Save this note")));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const words = (draft.words || "").trim();
      complain(form, ...(words ? [] : ["words", gettext("Enter a note first.")]));
      if (!words) return;
      draft.words = $("f-words").value = "";
      keepDrafts();
      act("note", { words }, gettext("Note saved"));
    });
    return form;
  }

  function closeRows({ state, inNow }) {
    const waits = [
      inNow.length && ngettext("sign out %(n)s child", "sign out %(n)s children", inNow.length),
      state.conflicts.length && gettext("fix entries where two phones differ"),
    ].filter(Boolean);
    const end = state.closed_at
      ? el("p", {}, flag("set", gettext("closed at %(time)s", { time: clockAt(state.closed_at) }), "tick"), " ", gettext("You can still add entries."))
      : [waits.length ? el("p", { id: "close-why" }, gettext("Before you close: %(steps)s.", { steps: joined(waits) })) : null,
        button(gettext("Close the day"), () => { if (!waits.length) act("close", {}, gettext("Day closed")); }, "act big", { id: "close-day", disabled: waits.length > 0 })];
    const unsent = known.pending.length;
    const warn = known.signal ? gettext("This erases all of today’s information from this phone.")
      : gettext("This erases all of today’s information from this phone right away. We’ll tell the office when there’s signal.");
    return [el("h3", {}, gettext("Close the day")), end,
      el("h3", {}, gettext("Erase this phone")),
      el("p", { id: "this-phone" }, gettext("This is: %(name)s.", { name: known.day.phone_name }), " ",
        gettext("The link in the email opens on one phone only. To use another phone, erase this one first.")),
      closing.leave
        ? [el("p", { className: unsent ? "callout stop" : "callout due", role: "alert" }, unsent ? `${ngettext("%(n)s entry is not sent and would be lost.", "%(n)s entries are not sent and would be lost.", unsent)} ` : "", warn),
          button(unsent ? ngettext("Erase and lose %(n)s entry", "Erase and lose %(n)s entries", unsent) : gettext("Yes, erase this phone"), leavePhone, "act big stop", { id: "leave-sure" }),
          button(gettext("Keep the data"), () => { closing.leave = false; draw(); }, "act big quiet", { id: "leave-not" })]
        : [el("p", {}, gettext("Erases automatically on %(day)s at %(time)s.", wiped())), button(gettext("Erase this phone"), () => { closing.leave = true; draw(); }, "act big stop", { id: "leave" })]];
  }

  function wiped() {
    const at = new Date(known.day.wipe_at);
    const day = at.toLocaleDateString(localeOf(), { weekday: "long", day: "numeric", month: "long", timeZone: known.day.clinic.zone });
    return { day, time: clockAt(known.day.wipe_at) };
  }

  return { paint: paintClosing };
}
