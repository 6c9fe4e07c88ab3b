// What every part of the floor page is made of: elements, buttons, flags, and words said aloud.
export const $ = (id) => document.getElementById(id);

// Properties by their DOM name; `press` is a click, `aria-…`, `data-…`, `for` and `role` are attributes.
export function el(tag, props = {}, ...inside) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (name === "press") node.addEventListener("click", value);
    else if (/^(aria-|data-|for$|role$|list$)/.test(name)) node.setAttribute(name, value);
    else node[name] = value;
  }
  node.append(...inside.flat(9).filter((part) => part !== null && part !== undefined && part !== false));
  return node;
}

export const button = (words, press, className = "act big quiet", more = {}) => el("button", { type: "button", className, press, ...more }, words);

const GLYPHS = {
  tick: "M3 8.6l3.3 3.3L13 4.8",
  cross: "M3.8 3.8l8.4 8.4M12.2 3.8l-8.4 8.4",
  warn: "M8 2.2l6.3 11.3H1.7zM8 6.4v3.2M8 11.6h.01",
  dots: "M3.2 8h.01M8 8h.01M12.8 8h.01",
};

export function glyph(name) {
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

export const flag = (kind, words, name) => el("span", { className: `flag ${kind}` }, name ? glyph(name) : null, words);

export const tel = (number) => el("a", { href: `tel:${number.replace(/[^\d+]/g, "")}` }, number);

// For screen readers; the same words twice are said twice.
export function tell(words) {
  $("told").textContent = "";
  setTimeout(() => { $("told").textContent = words; }, 50);
}

// Makes `box` look like `inside`, touching only what differs: a button under the thumb, the keyboard's place and what is
// half typed stay as they are while an answer comes in. So what a button does may lean on nothing but what it shows.
export function refill(box, ...inside) {
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
