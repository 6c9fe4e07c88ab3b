// The run sheet by the clinic's clock: now, next, and what to say and watch at each station.
import { $, button, el, flag, refill } from "./dom.js";
import { capital, counted, slotName, whereNow } from "./rules.js";

function points(name, lines) {
  return lines.length ? [el("h3", {}, name), el("ul", { className: "points" }, lines.map((line) => el("li", {}, line)))] : null;
}

export function makeSheet(floor) {
  const { known, act, clockAt, serverNow } = floor;

  function paintSheet(view) {
    const { day } = known;
    const panel = $("panel-sheet");
    if (!$("sheet-list")) panel.append(el("div", { id: "sheet-list" }));
    if (!day.sheet?.slots.length) {
      refill($("sheet-list"), el("div", { className: "empty" }, el("p", {}, "No run sheet is planned for this clinic. The clock above runs to the end."),
        el("p", {}, "Start with something for everybody, then small groups at the hoops and the table, and finish together.")));
      return;
    }
    const began = Date.parse(day.clinic.starts_at);
    const where = whereNow(day, view.state, (serverNow() - began) / 60000);
    refill($("sheet-list"), el("ol", { className: "slots" }, day.sheet.slots.map((slot, number) => slotRow(slot, number, where, began))), groupLists(view));
  }

  function slotRow(slot, number, where, began) {
    const at = clockAt(new Date(began + where.starts[number] * 60000).toISOString());
    const state = number === where.now ? flag("set", "now", "tick") : number < where.now ? flag("plain", "done") : number === where.next ? flag("due", "next", "dots") : null;
    const stations = new Map();
    for (const [code, one] of Object.entries(slot.stations)) {
      const same = stations.get(one.name) || { ...one, codes: [], adults: [] };
      same.codes.push(code);
      same.adults.push(...(slot.adults?.[code] || []).filter((name) => !same.adults.includes(name)));
      stations.set(one.name, same);
    }
    const all = Object.keys(slot.stations).length;
    return el("li", { id: `slot-${number}`, className: number < where.now ? "over" : "" },
      el("div", { className: "slot-head" }, el("p", {}, el("b", {}, at), ` ${slot.minutes} minutes`), state,
        number === where.next || (where.now < 0 && number === 0)
          ? button("Start this now", () => act("slot", { slot: number, sheet: known.day.sheet.pk }, `${capital(slotName(slot))} started`), "act big", { id: `start-${number}` }) : null),
      [...stations.values()].map((one, place) => el("details", { id: `station-${number}-${place}`, className: "station" },
        el("summary", {}, el("b", {}, one.name), ` ${one.codes.length === all ? "everybody" : counted(one.codes.length, "group", "groups").replace(/^\d+ /, "") + " " + one.codes.join(", ")}`,
          one.where ? `, ${one.where}` : ""),
        one.adults.length ? el("p", {}, `With ${one.adults.join(", ")}`) : null,
        points("Say and show", one.teaching), points("Keep safe", one.safety))));
  }

  function groupLists({ children, here }) {
    const groups = known.day.sheet.groups.map(({ code }) => [code, children.filter((one) => one.group === code)]).filter(([, members]) => members.length);
    return groups.length ? [el("h3", {}, "Groups"), groups.map(([code, members]) => el("details", { id: `group-${code}`, className: "station" },
      el("summary", {}, el("b", {}, `Group ${code}`), ` ${members.filter((one) => here.has(one.who)).length} of ${members.length} in`),
      el("ul", { className: "points" }, members.map((one) => el("li", {}, one.name, here.has(one.who) ? "" : " (not in)")))))] : null;
  }

  return { paint: paintSheet };
}
