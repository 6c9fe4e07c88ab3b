// The emergency card: where this is, where things are, whom to call.
import { $, button, el, tel } from "./dom.js";
import { gettext, localeOf } from "./words.js";

// `floor.known.day` is looked at when it is opened, so that it is always of the newest day.
export function openEmergency(floor) {
  const { clinic, emergency } = floor.known.day;
  const seen = emergency.plan_seen_on && new Date(`${emergency.plan_seen_on}T12:00:00Z`)
    .toLocaleDateString(localeOf(), { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
  const rows = [[gettext("You are at"), clinic.address], [gettext("How to get in"), clinic.arrival],
    [gettext("Defibrillator"), emergency.defibrillator], [gettext("First-aid kit"), emergency.first_aid_kit],
    [gettext("Hospital"), emergency.hospital],
    [gettext("Meeting point"), emergency.assembly_point],
    ...(clinic.door || []).filter((one) => one.phone).map((one) => [gettext("%(name)s, center", { name: one.name }), tel(one.phone)]),
    [gettext("Our office"), clinic.phone ? tel(clinic.phone) : ""], [gettext("Emergency plan reviewed"), seen]];
  $("emergency").replaceChildren(
    el("h2", { id: "emergency-head" }, gettext("Emergency")),
    el("a", { className: "act big stop", href: "tel:911" }, gettext("Call 911")),
    el("dl", { className: "facts" }, rows.map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words || gettext("Not on file. Ask the center."))))),
    button(gettext("Close emergency info"), () => $("emergency").close()));
  $("emergency").showModal();
}
