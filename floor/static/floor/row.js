// What a child's line at the door says: marks at a glance, and the facts under them.
import { el, flag, glyph, tel } from "./dom.js";
import { gettext } from "./words.js";

const waiverFlags = () => ({
  missing: gettext("waiver missing"), expired: gettext("waiver expired"), "older text": gettext("must sign the new waiver"),
  withdrawn: gettext("waiver withdrawn"),
});

export const given = (one) => one.given || one.name.split(" ")[0];

// What somebody looks like who must not pick up, where the office has it: without signal too, so the photo is in the day.
const looksOf = (name, looks) => [
  looks?.photo && el("img", { src: looks.photo, alt: gettext("Photo of %(name)s", { name }) }),
  looks?.description && el("p", { className: "looks" }, looks.description),
];

export function barredBox(name, looks) {
  return el("div", { className: "must-not" },
    el("p", {}, glyph("cross"), ` ${gettext("MUST NOT PICK UP: %(name)s", { name })}`), looksOf(name, looks));
}

// `known` is that of sync.js, `view` of view.js.
export function rowMarks(one, view, known) {
  return [
    one.allergies && flag("due", gettext("allergy: %(what)s", { what: one.allergies }), "warn"),
    !one.unread && !one.allergies && one.allergies_answer !== "none" && flag("due", gettext("allergies not answered: ask"), "warn"),
    one.unread && flag("due", gettext("allergies still loading"), "dots"),
    one.care_notes && flag("due", gettext("care note"), "dots"),
    view.state.waivers[one.who]?.how === "paper" && flag("plain", gettext("paper waiver in the folder")),
    one.waiver !== "current" && !view.state.waivers[one.who] && flag("stop", waiverFlags()[one.waiver] || gettext("waiver missing"), "cross"),
    view.knocked.has(one.who) ? flag("stop", gettext("sitting out today"), "warn")
      : one.not_cleared && flag("stop", gettext("not to play until cleared"), "warn"),
    one.must_not.length > 0 && flag("stop", gettext("has a “must not pick up” entry"), "cross"),
    !one.photos && flag("plain", gettext("no photos"), "cross"),
    ...(one.twins || []).map((twin) => flag("due", twin.walked
      ? gettext("perhaps one child: also on the list as %(name)s, age %(age)s, walk-in", twin)
      : gettext("perhaps one child: also on the list as %(name)s, age %(age)s", twin), "warn")),
    one.walked && flag("plain", gettext("walk-in")),
    one.state === "given up" && !known.day.clinic.called_off && flag("due", gettext("no longer has a spot"), "dots"),
  ].filter(Boolean);
}

export function rowFacts(one, stay) {
  return [
    one.not_cleared && [gettext("Play"), gettext("Not to play until cleared, since %(day)s. They may watch.", { day: one.not_cleared.since })],
    one.care_notes && [gettext("Care note"), one.care_notes],
    !one.unread && [gettext("Allergies"), one.allergies || (one.allergies_answer === "none" ? gettext("none known") : gettext("Not answered. Ask the guardian, then call our office so it’s on file."))],
    one.emergency.name && [gettext("Emergency contact"), [one.emergency.name, " ", one.emergency.phone ? tel(one.emergency.phone) : null]],
    [gettext("Can be picked up by"), one.pickup_people.map((who) => el("p", {}, who.name, who.relation ? `, ${who.relation} ` : " ", who.phone ? tel(who.phone) : null))],
    one.must_not.length > 0 && [gettext("Must not pick up"), one.must_not.map((name, at) => [flag("stop", gettext("MUST NOT PICK UP: %(name)s", { name }), "cross"), looksOf(name, one.looks?.[at])])],
    stay?.pickup && [gettext("Picked up by"), stay.pickup],
  ].filter(Boolean);
}
