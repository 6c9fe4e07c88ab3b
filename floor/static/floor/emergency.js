// The emergency card: where this is, where things are, whom to call.
import { $, button, el, tel } from "./dom.js";

// `floor.known.day` is looked at when it is opened, so that it is always of the newest day.
export function openEmergency(floor) {
  const { clinic, emergency } = floor.known.day;
  const seen = emergency.plan_seen_on && new Date(`${emergency.plan_seen_on}T12:00:00Z`)
    .toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
  const rows = [["You are at", clinic.address], ["Way in", clinic.arrival],
    ["Defibrillator", emergency.defibrillator], ["First-aid kit", emergency.first_aid_kit], ["Hospital", emergency.hospital],
    ["Assembly point", emergency.assembly_point],
    ...(clinic.door || []).filter((one) => one.phone).map((one) => [`${one.name}, center`, tel(one.phone)]),
    ["Our office", clinic.phone ? tel(clinic.phone) : ""], ["Plan last seen", seen]];
  $("emergency").replaceChildren(
    el("h2", { id: "emergency-head" }, "Emergency"),
    el("a", { className: "act big stop", href: "tel:911" }, "Call 911"),
    el("dl", { className: "facts" }, rows.map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words || "Not known: ask the center")))),
    button("Close", () => $("emergency").close()));
  $("emergency").showModal();
}
