// The run sheet by the clinic's clock: now, next, and what to say and watch at each station.
import { $, button, el, flag, refill } from "./dom.js";
import { slotParts, whereNow } from "./rules.js";
import { gettext, joined, ngettext } from "./words.js";

// What a slot is called: its one activity, or "stations, 4 groups".
export function slotName(slot) {
  const { name, groups } = slotParts(slot);
  return name || ngettext("Stations, %(n)s group", "Stations, %(n)s groups", groups);
}

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
      refill($("sheet-list"), el("div", { className: "empty" }, el("p", {}, gettext("This clinic has no run sheet. The clock above counts down to the end.")),
        el("p", {}, gettext("Start together, then use small groups at the hoops and tables, and end together."))));
      return;
    }
    const began = Date.parse(day.clinic.starts_at);
    const where = whereNow(day, view.state, (serverNow() - began) / 60000);
    refill($("sheet-list"), el("ol", { className: "slots" }, day.sheet.slots.map((slot, number) => slotRow(slot, number, where, began))), groupLists(view));
  }

  function slotRow(slot, number, where, began) {
    const at = clockAt(new Date(began + where.starts[number] * 60000).toISOString());
    const state = number === where.now ? flag("set", gettext("now"), "tick") : number < where.now ? flag("plain", gettext("done")) : number === where.next ? flag("due", gettext("next"), "dots") : null;
    const stations = new Map();
    for (const [code, one] of Object.entries(slot.stations)) {
      const same = stations.get(one.name) || { ...one, codes: [], adults: [] };
      same.codes.push(code);
      same.adults.push(...(slot.adults?.[code] || []).filter((name) => !same.adults.includes(name)));
      stations.set(one.name, same);
    }
    const all = Object.keys(slot.stations).length;
    return el("li", { id: `slot-${number}`, className: number < where.now ? "over" : "" },
      el("div", { className: "slot-head" }, el("p", {}, el("b", {}, at), ` ${ngettext("%(n)s minute", "%(n)s minutes", slot.minutes)}`), state,
        number === where.next || (where.now < 0 && number === 0)
          ? button(gettext("Start this slot now"), () => act("slot", { slot: number, sheet: known.day.sheet.pk }, gettext("%(slot)s started", { slot: slotName(slot) })), "act big", { id: `start-${number}` }) : null),
      [...stations.values()].map((one, place) => el("details", { id: `station-${number}-${place}`, className: "station" },
        el("summary", {}, el("b", {}, one.name), ` ${one.codes.length === all ? gettext("everyone") : ngettext("group %(codes)s", "groups %(codes)s", one.codes.length, { codes: joined(one.codes) })}`,
          one.where ? `, ${one.where}` : ""),
        one.adults.length ? el("p", {}, gettext("With %(names)s", { names: joined(one.adults) })) : null,
        points(gettext("Teach"), one.teaching), points(gettext("Safety"), one.safety))));
  }

  function groupLists({ children, here }) {
    const groups = known.day.sheet.groups.map(({ code }) => [code, children.filter((one) => one.group === code)]).filter(([, members]) => members.length);
    return groups.length ? [el("h3", {}, gettext("Groups")), groups.map(([code, members]) => el("details", { id: `group-${code}`, className: "station" },
      el("summary", {}, el("b", {}, gettext("Group %(code)s", { code })), " ",
        gettext("%(here)s of %(all)s here", { here: members.filter((one) => here.has(one.who)).length, all: members.length })),
      el("ul", { className: "points" }, members.map((one) => el("li", {}, one.name, here.has(one.who) ? "" : ` ${gettext("(not here)")}`)))))] : null;
  }

  // Opened at what is on now, unless that is to be seen without moving.
  function opened() {
    const { day } = known;
    if (!day?.sheet?.slots.length) return;
    const { now } = whereNow(day, floor.look().state, (serverNow() - Date.parse(day.clinic.starts_at)) / 60000);
    const slot = $(`slot-${now}`)?.getBoundingClientRect();
    const over = $("alarm").getBoundingClientRect().bottom;
    if (slot && slot.bottom > $("foot").getBoundingClientRect().top) scrollBy({ top: slot.top - Math.max(0, over) - 8, behavior: "instant" });
  }

  return { paint: paintSheet, opened };
}
