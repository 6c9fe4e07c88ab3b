// A child without a current waiver is not signed in by one tap: a guardian signs on this phone or on paper, or not at all.
import { $, button, el, flag } from "./dom.js";
import { given } from "./row.js";
import { gettext } from "./words.js";

// The text that a guardian reads and signs, in a language that can be switched. `sign` holds {language, typed, wrong};
// `changed` is called when another language is chosen.
export function waiverText(texts, sign, changed) {
  const text = texts.find((one) => one.language === sign.language) || texts[0];
  sign.language = text.language;
  return [
    texts.length > 1 ? el("div", { className: "keys-row", role: "group", "aria-label": gettext("Language of the waiver") }, texts.map((one) => button(one.words.language_name,
      () => { sign.language = one.language; changed(); }, "act quiet", { id: `waiver-${one.language}`, lang: one.language, "aria-pressed": String(one === text) }))) : null,
    el("div", { lang: text.language },
      el("h4", {}, text.title),
      el("div", { className: "waiver-box", tabIndex: 0, role: "region", "aria-label": text.title }, text.body.split(/\n+/).map((line) => el("p", {}, line)))),
  ];
}

export const textIn = (texts, language) => texts.find((one) => one.language === language) || texts[0];

// `office` is the telephone number for when the center has none of its own.
export function makeWaiver(floor, { office }) {
  const { known, act, draw } = floor;
  const sign = { who: "", language: "", typed: "", wrong: "" };

  const asks = (child, view) => child.waiver !== "current" && !view.state.waivers?.[child.who];

  const entry = (child, more) => act("waiver", { who: child.who, how: "paper", guardian: "", signed: "", language: "", version: 0, ...more },
    gettext("%(child)s: waiver signed", { child: given(child) }));

  function box(child, _view, { go, stop }) {
    if (sign.who !== child.who) Object.assign(sign, { who: "", language: child.language || "en", typed: "", wrong: "" });
    return sign.who ? signing(child, go) : choosing(child, { go, stop });
  }

  function choosing(child, { go, stop }) {
    const { policy, waivers } = known.day;
    const onPhone = policy.sign_on_phone && waivers.length > 0;
    return [
      el("p", {}, el("b", {}, gettext("%(child)s has no current waiver.", { child: given(child) }))),
      onPhone || policy.sign_on_paper
        ? el("p", {}, gettext("A parent or legal guardian signs before %(child)s comes in.", { child: given(child) }))
        : el("p", { className: "callout stop" }, gettext("%(child)s can’t come in without one. Call our office at %(phone)s.", { child: given(child), phone: known.day.clinic.phone || office })),
      onPhone ? button(gettext("Sign on this phone now"), () => { sign.who = child.who; draw(); }, "act big", { id: "waiver-phone" }) : null,
      policy.sign_on_paper ? button(gettext("Guardian signs on paper, sheet in the folder"), async () => { if (await entry(child, {})) go(); }, "act big quiet", { id: "waiver-paper" }) : null,
      button(gettext("Not without a waiver"), stop, "act big quiet", { id: "waiver-not" }),
    ];
  }

  function signing(child, go) {
    const { waivers } = known.day;
    const parts = waiverText(waivers, sign, draw);
    const { words, language, version } = textIn(waivers, sign.language);
    const typed = el("input", { id: "waiver-name", type: "text", className: "form-control", value: sign.typed, maxLength: 120, autocomplete: "off" });
    typed.addEventListener("input", () => { sign.typed = typed.value; });
    const press = async () => {
      const signed = ($("waiver-name").value || "").trim();
      sign.wrong = signed ? "" : textIn(waivers, sign.language).words.missing;
      if (!signed) { draw(); $("waiver-name").focus(); return; }
      const guardian = child.pickup_people.find((one) => one.relation === "guardian" && one.name.toLowerCase() === signed.toLowerCase());
      if (!(await entry(child, { how: "phone", guardian: guardian?.name || signed, signed, language, version }))) return;
      sign.who = "";
      go();
    };
    return [
      el("p", {}, el("b", {}, gettext("Hand the phone to the guardian.")), " ", flag("plain", given(child))),
      parts,
      el("div", { lang: language }, el("label", { for: "waiver-name", className: "form-label requiredField" }, words.sign_here), typed,
        sign.wrong ? el("p", { className: "invalid-feedback", role: "alert" }, sign.wrong) : null),
      button(words.press, press, "act big", { id: "waiver-sign", lang: language }),
      button(gettext("Back"), () => { sign.who = ""; sign.wrong = ""; draw(); }, "act big quiet", { id: "waiver-back" }),
    ];
  }

  return { code: "waiver", asks, box };
}
