// What forms of the floor page are made of: fields, choices, and what is wrong with them.
import { $, el } from "./dom.js";

// One of a few: buttons that stay down, thumb-sized.
export function choice(label, options, chosen, choose, more = {}) {
  return el("div", { role: "group", "aria-label": label, className: "keys-row", ...more }, options.map(([value, words]) =>
    el("button", {
      type: "button", id: `pick-${label.replaceAll(" ", "-")}-${value}`, className: "act big quiet", "aria-pressed": String(value === chosen),
      press: () => choose(value),
    }, words)));
}

// Says what is wrong beside the field, and moves there.
export function complain(form, name, words) {
  form.querySelectorAll(".invalid-feedback").forEach((node) => node.remove());
  form.querySelectorAll(".is-invalid").forEach((node) => { node.classList.remove("is-invalid"); node.removeAttribute("aria-invalid"); });
  if (!name) return;
  const box = $(`f-${name}`) || $(name);
  box.classList.add("is-invalid");
  box.setAttribute("aria-invalid", "true");
  box.closest(".mb-3, fieldset").append(el("p", { className: "invalid-feedback", role: "alert" }, words));
  box.focus();
}

// Fields whose words are kept on the phone, and forms that go off with them.
export function makeForms(floor) {
  // A label with its field under it. What is typed is kept in `draft`, locked on the phone, until it is used.
  function field(label, name, draft, { help = "", long = false, optional = false, ...more } = {}) {
    const id = `f-${name}`;
    const box = el(long ? "textarea" : "input", { id, name, className: "form-control", maxLength: long ? 2000 : 120, ...more });
    const value = draft[name];
    if (box.type === "checkbox") box.checked = Boolean(value);
    else box.value = value || "";
    box.addEventListener("input", () => {
      draft[name] = box.type === "checkbox" ? box.checked : box.value;
      floor.keepDrafts();
    });
    if (help) box.setAttribute("aria-describedby", `${id}-help`);
    const words = el("label", { for: id, className: `form-label${optional ? "" : " requiredField"}` }, label);
    if (box.type === "checkbox") {
      box.className = "form-check-input";
      words.className = "form-check-label";
      return el("div", { className: "form-check mb-3" }, box, words);
    }
    return el("div", { className: "mb-3" }, words, box, help ? el("p", { id: `${id}-help`, className: "form-text" }, help) : null);
  }

  // Sends a form off once, and gives it back empty only when what it said is kept on the phone.
  async function used(form, draft, work) {
    const send = form.querySelector("[type=submit]");
    send.disabled = true;
    const one = await work();
    send.disabled = false;
    if (!one) return;
    floor.dropDraft(draft);
    form.remove();
    floor.draw();
  }

  return { field, used };
}
