// A child without a current waiver is not signed in by one tap: a guardian signs on this phone or on paper, or not at all.
import { $, button, el } from "./dom.js";
import { given } from "./row.js";
import { filled, gettext } from "./words.js";

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

const why = (state, child) => ({
  expired: gettext("%(child)s’s waiver has expired.", { child }),
  "older text": gettext("%(child)s’s guardian must sign the new waiver.", { child }),
  withdrawn: gettext("%(child)s’s waiver was withdrawn.", { child }),
}[state] || gettext("%(child)s has no waiver on file.", { child }));

// `office` is the telephone number for when the center has none of its own.
export function makeWaiver(floor, { office }) {
  const { known, act, look } = floor;

  const asks = (child, view) => child.waiver !== "current" && !view.state.waivers[child.who];

  const entry = (child, more) => act("waiver", { who: child.who, how: "paper", guardian: "", signed: "", language: "", version: 0, ...more },
    more.signed ? gettext("%(child)s: waiver signed", { child: given(child) }) : gettext("%(child)s: paper waiver in the folder", { child: given(child) }));

  function box(child, _view, { go, stop }) {
    const { policy, waivers } = known.day;
    const onPhone = policy.sign_on_phone && waivers.length > 0;
    return [
      el("p", {}, el("b", {}, why(child.waiver, given(child)))),
      onPhone || policy.sign_on_paper
        ? el("p", {}, gettext("A parent or legal guardian signs before %(child)s comes in.", { child: given(child) }))
        : el("p", { className: "callout stop" }, gettext("%(child)s can’t come in without one. Call our office at %(phone)s.", { child: given(child), phone: known.day.clinic.phone || office })),
      onPhone ? button(gettext("Sign on this phone now"), () => openSheet(child.who, go), "act big", { id: "waiver-phone" }) : null,
      policy.sign_on_paper ? button(gettext("Guardian signs on paper, sheet in the folder"), async () => { if (await entry(child, {})) go(); }, "act big quiet", { id: "waiver-paper" }) : null,
      button(gettext("Not without a waiver"), stop, "act big quiet", { id: "waiver-not" }),
    ];
  }

  // The whole screen is the guardian's, who sees no other child: the text, and a line to sign on.
  function openSheet(who, go) {
    const child = look().people.get(who);
    const { waivers } = known.day;
    const sign = { language: child.language || "en", wrong: false };
    const sheet = $("signing");
    const typed = el("input", { id: "waiver-name", type: "text", className: "form-control", maxLength: 120, autocomplete: "off", "aria-describedby": "signing-help" });
    const form = el("form", { id: "signing-sheet", noValidate: true, autocomplete: "off" });

    function paint() {
      const parts = waiverText(waivers, sign, () => { paint(); $(`waiver-${sign.language}`).focus(); });
      const { words, language, version } = textIn(waivers, sign.language);
      sheet.lang = language;
      typed.classList.toggle("is-invalid", sign.wrong);
      typed.setAttribute("aria-invalid", String(sign.wrong));
      form.replaceChildren(...[
        el("h2", { id: "signing-head" }, filled(words.for, { child: child.name })),
        parts, el("p", { className: "aside" }, filled(words.version, { number: version })),
        el("label", { for: typed.id, className: "form-label requiredField" }, words.sign_here), typed,
        el("p", { id: "signing-help", className: "form-text" }, words.help),
        sign.wrong ? el("p", { className: "invalid-feedback", role: "alert" }, words.missing) : null,
        el("button", { type: "submit", id: "waiver-sign", className: "act big" }, words.press),
        button(words.back, () => sheet.close(), "act big quiet", { id: "waiver-back" }),
      ].flat(9).filter(Boolean));
    }

    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const signed = typed.value.trim();
      sign.wrong = !signed;
      if (!signed) { paint(); typed.focus(); return; }
      $("waiver-sign").disabled = true;
      const { language, version } = textIn(waivers, sign.language);
      const guardian = child.pickup_people.find((one) => one.relation === "guardian" && one.name.toLowerCase() === signed.toLowerCase());
      const one = await entry(child, { how: "phone", guardian: guardian?.name || signed, signed, language, version });
      // Without room on the phone the signature is not kept: the foot of the page says so, and the question stays.
      sheet.close();
      if (one) go();
    });
    // Half a signature waits for no one.
    sheet.addEventListener("close", () => { if (!sheet.open) sheet.replaceChildren(); }, { once: true });
    sheet.replaceChildren(form);
    paint();
    sheet.showModal();
    sheet.scrollTop = 0;
  }

  // In the opened line of a child: back to what it was before.
  function undo(child, { state }) {
    const said = state.waivers[child.who];
    // A sheet that the office has recorded is no longer the door's to undo.
    if (!said || (said.how === "paper" && child.waiver === "current")) return null;
    const [label, done] = said.how === "paper"
      ? [gettext("Undo the paper waiver (by mistake)"), gettext("%(child)s has no paper waiver", { child: given(child) })]
      : [gettext("Undo the waiver signature (by mistake)"), gettext("%(child)s: signature undone", { child: given(child) })];
    return button(label, () => act("undo", { of: look().state.waivers[child.who]?.id || said.id }, done), "act quiet", { id: `unsign-${child.who}` });
  }

  return { code: "waiver", asks, box, undo };
}
