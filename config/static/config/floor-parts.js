// What every part of the floor page is made of: elements, buttons, fields, flags, and words said aloud.
"use strict";

const $ = (id) => document.getElementById(id);

// Properties by their DOM name; `press` is a click, `aria-…`, `data-…`, `for` and `role` are attributes.
function el(tag, props = {}, ...inside) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (name === "press") node.addEventListener("click", value);
    else if (/^(aria-|data-|for$|role$|list$)/.test(name)) node.setAttribute(name, value);
    else node[name] = value;
  }
  node.append(...inside.flat(9).filter((part) => part !== null && part !== undefined && part !== false));
  return node;
}

const button = (words, press, className = "act big quiet", more = {}) => el("button", { type: "button", className, press, ...more }, words);

const GLYPHS = {
  tick: "M3 8.6l3.3 3.3L13 4.8",
  cross: "M3.8 3.8l8.4 8.4M12.2 3.8l-8.4 8.4",
  warn: "M8 2.2l6.3 11.3H1.7zM8 6.4v3.2M8 11.6h.01",
  dots: "M3.2 8h.01M8 8h.01M12.8 8h.01",
};

function glyph(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  for (const [key, value] of Object.entries({
    class: "glyph", viewBox: "0 0 16 16", width: 16, height: 16, fill: "none", stroke: "currentColor",
    "stroke-width": 2, "stroke-linecap": "round", "stroke-linejoin": "round", "aria-hidden": "true",
  })) svg.setAttribute(key, value);
  path.setAttribute("d", GLYPHS[name]);
  svg.append(path);
  return svg;
}

const flag = (kind, words, name) => el("span", { className: `flag ${kind}` }, name ? glyph(name) : null, words);

// A label with its field under it. What is typed is kept in `draft`, locked on the phone, until it is used.
function field(label, name, draft, { help = "", long = false, optional = false, ...more } = {}) {
  const id = `f-${name}`;
  const box = el(long ? "textarea" : "input", { id, name, className: "form-control", maxLength: long ? 2000 : 120, ...more });
  const value = draft[name];
  if (box.type === "checkbox") box.checked = Boolean(value);
  else box.value = value || "";
  box.addEventListener("input", () => {
    draft[name] = box.type === "checkbox" ? box.checked : box.value;
    keepDrafts();
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

// One of a few: buttons that stay down, thumb-sized.
function choice(label, options, chosen, choose, more = {}) {
  return el("div", { role: "group", "aria-label": label, className: "keys-row", ...more }, options.map(([value, words]) =>
    el("button", {
      type: "button", id: `pick-${label.replaceAll(" ", "-")}-${value}`, className: "act big quiet", "aria-pressed": String(value === chosen),
      press: () => choose(value),
    }, words)));
}

// Says what is wrong beside the field, and moves there.
function complain(form, name, words) {
  form.querySelectorAll(".invalid-feedback").forEach((node) => node.remove());
  form.querySelectorAll(".is-invalid").forEach((node) => { node.classList.remove("is-invalid"); node.removeAttribute("aria-invalid"); });
  if (!name) return;
  const box = $(`f-${name}`);
  box.classList.add("is-invalid");
  box.setAttribute("aria-invalid", "true");
  box.closest(".mb-3, fieldset").append(el("p", { className: "invalid-feedback", role: "alert" }, words));
  box.focus();
}

// Sends a form off once, and gives it back empty only when what it said is kept on the phone.
async function used(form, draft, work) {
  const send = form.querySelector("[type=submit]");
  send.disabled = true;
  const one = await work();
  send.disabled = false;
  if (!one) return;
  app.draft[draft] = {};
  keepDrafts();
  form.remove();
  draw();
}

const tel = (number) => el("a", { href: `tel:${number.replace(/[^\d+]/g, "")}` }, number);

// For screen readers; the same words twice are said twice.
function tell(words) {
  $("told").textContent = "";
  setTimeout(() => { $("told").textContent = words; }, 50);
}

// Makes `box` look like `inside`, touching only what differs: a button under the thumb, the keyboard's place and what is
// half typed stay as they are while an answer comes in. So what a button does may lean on nothing but what it shows.
function refill(box, ...inside) {
  const held = box.contains(document.activeElement) ? document.activeElement : null;
  const from = held && held.matches("input[type=text], input[type=search], textarea") ? [held.selectionStart, held.selectionEnd] : null;
  const fresh = box.cloneNode(false);
  fresh.append(...inside.flat(9).filter(Boolean));
  for (const opened of box.querySelectorAll("details[open]")) {
    const again = opened.id && fresh.querySelector(`#${opened.id}`);
    if (again) again.open = true;
  }
  turnInto(box, fresh);
  // A list whose lines are moved one by one chooses for itself on the way: what is marked as chosen counts.
  for (const list of box.matches("select") ? [box] : box.querySelectorAll("select")) {
    list.value = (list.querySelector("option[selected]") || list.options[0]).value;
  }
  const again = held?.id && !held.isConnected && $(held.id);
  if (!again) return;
  again.focus({ preventScroll: true });
  if (from) again.setSelectionRange(...from);
}

function turnInto(old, fresh) {
  const [olds, news] = [[...old.childNodes], [...fresh.childNodes]];
  news.forEach((node, at) => {
    const was = olds[at];
    if (!was) old.append(node);
    else if (was.isEqualNode(node)) return;
    else if (was.nodeType === 1 && was.childElementCount && was.cloneNode(false).isEqualNode(node.cloneNode(false))) turnInto(was, node);
    else was.replaceWith(node);
  });
  olds.slice(news.length).forEach((node) => node.remove());
}
