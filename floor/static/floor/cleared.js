// Asked before a sign-in: a child who was hit on the head may watch, and plays only once a health care provider cleared them.
import { button, el } from "./dom.js";
import { given } from "./row.js";
import { gettext } from "./words.js";

export function makeCleared({ known }) {
  // At an earlier clinic, as the office knows; or today, as the phones say.
  const since = (child) => child.not_cleared?.since || known.day.clinic.day;
  return {
    code: "not cleared",
    asks: (child, view) => Boolean(child.not_cleared) || view.knocked.has(child.who),
    box: (child, _view, { go, stop }) => [
      el("div", { className: "callout stop" },
        el("p", {}, el("b", {}, gettext("%(child)s was hit on the head on %(day)s and isn’t cleared to play.", { child: given(child), day: since(child) }))),
        el("p", {}, gettext("They may watch; no play until a health care provider clears them. Ask the guardian for the provider’s note and send it to our office."))),
      button(gettext("Sign in to watch, not play"), () => go(true), "act big", { id: `watch-${child.who}` }),
      button(gettext("Not coming in"), () => stop(), "act big quiet", { id: `away-${child.who}` }),
    ],
  };
}
