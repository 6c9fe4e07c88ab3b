// Closing: nobody forgotten, phones that differ settled, minutes and notes kept, then the day is closed.
import { $, button, el, flag, glyph, refill } from "./dom.js";
import { complain, makeForms } from "./forms.js";
import { capital, counted, minutesIn } from "./rules.js";

function entryWords({ kind, facts }, people) {
  const name = people.get(facts.who)?.name || facts.name || "";
  const said = { in: "in", out: `out ${facts.collector || ""}`, "walk-in": "registered at the door", undo: "Something taken back", score: `${facts.what}: ${facts.made} of ${facts.tried}`,
    incident: facts.what, slot: "A slot started", note: `Note: ${facts.words}`, hours: `${facts.minutes} minutes`, close: "The day closed" }[kind];
  return `${name} ${said}`.trim();
}

// `askAtDoor(who)` moves to the door, where somebody is signed out; `leavePhone` wipes this phone.
export function makeClosing(floor, { askAtDoor, leavePhone }) {
  const { known, act, draw, look, sendAgain, keepDrafts, serverNow, ours, clockAt } = floor;
  const { field } = makeForms(floor);

  const closing = { leave: false, minutesWrong: "" };

  function paintClosing(view) {
    if (!$("closing-state")) {
      $("panel-closing").append(el("div", { id: "closing-state" }), noteForm(), el("div", { id: "closing-end" }));
    }
    const { state, inNow } = view;
    refill($("closing-state"),
      el("h3", {}, "Children still in"),
      inNow.length
        ? [el("p", { className: "callout stop" }, glyph("warn"), ` ${capital(counted(inNow.length, "child is", "children are"))} not signed out.`),
          el("ul", { className: "rows" }, inNow.map((one) => el("li", { id: `still-${one.who}` }, el("div", { className: "what" }, el("b", {}, one.name)),
            button(["Sign out", el("span", { className: "visually-hidden" }, ` ${one.name}`)], () => askAtDoor(one.who), "act big quiet", { id: `still-out-${one.who}` }))))]
        : el("p", {}, flag("set", "every child is signed out", "tick")),
      conflictRows(view), refusedRows(view), minuteRows(view), noteRows(state));
    refill($("closing-end"), closeRows(view));
  }

  function version({ at, kind, collector, by }) {
    if (kind === "out") return `Out at ${clockAt(at)}${collector ? ` with ${collector}` : ""}, entered on ${by}’s phone`;
    return `${kind === "in" ? "In" : "Here"} at ${clockAt(at)}, entered on ${by}’s phone`;
  }

  function conflictRows({ state }) {
    if (!state.conflicts.length) return null;
    return [el("h3", {}, "Two phones say different things"), state.conflicts.map((one) => el("div", { className: "conflict", id: `conflict-${one.actions.join("-")}` },
      el("p", {}, el("b", {}, one.words)),
      one.versions.length > 1
        ? one.versions.map((said, at) => el("div", { className: "version" }, el("p", {}, version(said)),
          button("This one is right", () => one.versions.filter((other) => other.id !== said.id)
            .forEach((other) => act("undo", { of: other.id }, `Settled: ${version(said)}`)), "act big quiet", { id: `right-${one.actions[at]}` })))
        : [el("p", {}, one.versions.map(version).join(""), ". If they were here, take this back, then sign them in and out at the door."),
          button("Take this back", () => act("undo", { of: one.actions[0] }, "Taken back"), "act big quiet", { id: `right-${one.actions[0]}` })]))];
  }

  function refusedRows({ people }) {
    if (!known.refused.length) return null;
    return [el("h3", {}, "Entries that were not taken"), el("p", { className: "aside" }, "They stay here until this phone is wiped. Tell the office what they say."),
      el("ul", { className: "rows" }, known.refused.map((one) => el("li", { id: `refused-${one.id}` },
        el("div", { className: "what" }, el("b", {}, `${clockAt(ours(one.at))} ${entryWords(one, people)}`), el("p", {}, one.why)),
        button("Send it again", () => sendAgain(one.id), "act quiet", { id: `again-${one.id}` }))))];
  }

  function minuteRows({ state, adults }) {
    const came = adults.filter((one) => (state.stays[one.who] || []).length);
    if (!came.length) return [el("h3", {}, "Adults’ minutes"), el("p", {}, "No adult was signed in.")];
    const typed = floor.draft("minutes");
    const until = serverNow().toISOString();
    return [el("h3", {}, "Adults’ minutes"),
      el("ul", { className: "rows" }, came.map((one) => {
        const agreed = state.minutes[one.who];
        const box = el("input", { id: `minutes-${one.who}`, type: "number", inputMode: "numeric", min: 0, max: 1440, className: "form-control", value: typed[one.who] ?? agreed ?? minutesIn(state.stays[one.who], until) });
        box.addEventListener("input", () => { typed[one.who] = box.value; keepDrafts(); draw(); });
        const changed = agreed !== undefined && typed[one.who] !== undefined && Number(typed[one.who]) !== agreed;
        return el("li", { id: `gave-${one.who}` }, el("div", { className: "what" }, el("label", { for: box.id }, one.name), " ",
          agreed !== undefined && !changed ? flag("set", `${agreed} minutes kept`, "tick") : flag("due", "not kept yet", "dots")), box);
      })),
      button("Keep these minutes", () => keepMinutes(came, typed), "act big quiet", { id: "keep-minutes" }),
      closing.minutesWrong ? el("p", { className: "callout stop", role: "alert" }, closing.minutesWrong) : null];
  }

  async function keepMinutes(came, typed) {
    const wrong = came.find((one) => !/^\d{1,4}$/.test($(`minutes-${one.who}`).value.trim()) || Number($(`minutes-${one.who}`).value) > 1440);
    closing.minutesWrong = wrong ? `Give ${wrong.name}’s minutes as a whole number up to 1440.` : "";
    if (wrong) { draw(); return; }
    const wanted = came.map((one) => [one, Number($(`minutes-${one.who}`).value)]);
    for (const [one, minutes] of wanted) {
      if (look().state.minutes[one.who] !== minutes) await act("hours", { who: one.who, minutes }, `${one.name}: ${minutes} minutes kept`);
      delete typed[one.who];
    }
    keepDrafts();
    draw();
  }

  function noteRows({ notes }) {
    return [el("h3", {}, "For next time"), notes.length ? el("ul", { className: "rows" }, notes.map((one) => el("li", { id: `note-${one.id}` }, el("div", { className: "what" }, el("p", {}, one.words)),
      button("Take back", () => act("undo", { of: one.id }, "Note taken back"), "act quiet", { id: `note-back-${one.id}` })))) : null];
  }

  function noteForm() {
    const draft = floor.draft("note");
    const form = el("form", { id: "note-form", noValidate: true, className: "floor-form" }, field("What should the next clinic know?", "words", draft, { long: true, optional: true }),
      el("button", { type: "submit", className: "act big quiet" }, "Keep this note"));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const words = (draft.words || "").trim();
      complain(form, ...(words ? [] : ["words", "Type the note first."]));
      if (!words) return;
      draft.words = $("f-words").value = "";
      keepDrafts();
      act("note", { words }, "Note kept");
    });
    return form;
  }

  function closeRows({ state, inNow }) {
    const waits = [
      inNow.length && `sign out ${counted(inNow.length, "child", "children")}`,
      state.conflicts.length && "settle where two phones differ",
    ].filter(Boolean);
    const end = state.closed_at
      ? el("p", {}, flag("set", `closed at ${clockAt(state.closed_at)}`, "tick"), " What you enter now is still kept.")
      : [waits.length ? el("p", { id: "close-why" }, `Before you close: ${waits.join("; ")}.`) : null,
        button("Close the day", () => { if (!waits.length) act("close", {}, "The day is closed"); }, "act big", { id: "close-day", disabled: waits.length > 0 })];
    const unsent = known.pending.length;
    const warn = `Everything of this day is wiped from this phone${known.signal ? "." : " at once; the office hears of it when there is signal."}`;
    return [el("h3", {}, "Close the day"), end,
      el("h3", {}, "Leave this phone"),
      closing.leave
        ? [el("p", { className: unsent ? "callout stop" : "callout due", role: "alert" }, unsent ? `${counted(unsent, "entry is", "entries are")} not sent and would be lost. ` : "", warn),
          button(unsent ? `Lose ${counted(unsent, "entry", "entries")} and wipe` : "Yes, wipe this phone", leavePhone, "act big stop", { id: "leave-sure" }),
          button("Stay", () => { closing.leave = false; draw(); }, "act big quiet", { id: "leave-not" })]
        : [el("p", {}, `Wiped by itself ${leaveWords()}.`), button("Leave this phone", () => { closing.leave = true; draw(); }, "act big stop", { id: "leave" })]];
  }

  function leaveWords() {
    const at = new Date(known.day.wipe_at);
    return `on ${at.toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long", timeZone: known.day.clinic.zone })} at ${clockAt(known.day.wipe_at)}`;
  }

  return { paint: paintClosing };
}
