// The emergency card: the call first, where this is and who is at the door beside it, then where things are.
import { $, button, el, tel } from "./dom.js";
import { gettext, localeOf } from "./words.js";

// A phone number in a sentence of the center's; a long zip code and a date are none.
const NUMBER = /(\+?\(?\d[\d().\s-]{5,}\d)/;
const numbersIn = (words) => words.split(NUMBER).map((part) =>
  (NUMBER.test(part) && !/^\d{5}-\d{4}$|^\d{4}-\d\d-\d\d$/.test(part) ? tel(part) : part));

const rows = (list) => list.map(([name, words]) => el("div", {}, el("dt", {}, name), el("dd", {}, words || gettext("Not on file. Ask the center."))));

// `floor.known.day` is looked at when it is opened, so that it is always of the newest day.
export function openEmergency(floor) {
  const { clinic, emergency } = floor.known.day;
  const seen = emergency.plan_seen_on && new Date(`${emergency.plan_seen_on}T12:00:00Z`)
    .toLocaleDateString(localeOf(), { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
  const office = clinic.phone || document.body.dataset.office;
  const first = [[gettext("You are at"), clinic.address],
    ...(clinic.door || []).filter((one) => one.phone).map((one) => [gettext("%(name)s, center", { name: one.name }), tel(one.phone)]),
    [gettext("Our office"), office ? tel(office) : ""]];
  const rest = [[gettext("How to get in"), clinic.arrival], [gettext("Defibrillator"), emergency.defibrillator],
    [gettext("First-aid kit"), emergency.first_aid_kit], [gettext("Hospital"), emergency.hospital],
    [gettext("Meeting point"), emergency.assembly_point]].map(([name, words]) => [name, words && numbersIn(words)]);
  $("emergency").replaceChildren(
    el("h2", { id: "emergency-head" }, gettext("Emergency")),
    el("div", { className: "first" },
      el("a", { id: "call-911", className: "act", href: "tel:911" }, gettext("Call 911")),
      el("dl", { className: "facts" }, rows(first))),
    el("dl", { className: "facts" }, rows([...rest, [gettext("Emergency plan reviewed"), seen]])),
    button(gettext("Close emergency info"), () => $("emergency").close()));
  $("emergency").showModal();
}
