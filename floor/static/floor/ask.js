// A question under a child's line, as a screen reader and the keyboard meet it: announced, entered, and left with Escape.
import { $, tell } from "./dom.js";

const BOXES = ".going, .coming";

// `who()`: of which child it is asked, or "". `close()`: nothing is asked any more, and the page is drawn.
export function makeAsk({ who, close }) {
  // The question that was entered last, as [child, words]: drawn again, it is not entered again.
  let [child, words] = ["", ""];

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !who() || event.defaultPrevented || document.querySelector("dialog[open]")) return;
    const at = document.activeElement;
    if (at === document.body || $(`row-${who()}`)?.contains(at)) { event.preventDefault(); close(); }
  });

  // Named by its first words, which can take the focus: from there the next Tab is its first button.
  function group(box, of) {
    const head = box?.querySelector("b, h3, h4") || box?.querySelector("p");
    if (!head) return box;
    Object.assign(head, { id: `ask-${of}`, tabIndex: -1 });
    box.setAttribute("role", "group");
    box.setAttribute("aria-labelledby", head.id);
    return box;
  }

  // After each drawing: enters a question that has just come up, and goes back to the child's key when it is gone.
  function settle() {
    const head = who() && $(`ask-${who()}`);
    const before = child;
    if (head && child === who() && words === head.textContent) return;
    [child, words] = head ? [who(), head.textContent] : ["", ""];
    if (head) {
      // The focus has the question itself read out; who must not pick up, and the like, would not be.
      head.focus({ preventScroll: true });
      const rest = [...head.closest(BOXES).querySelectorAll("p")].filter((one) => !one.contains(head)).map((one) => one.textContent.trim());
      if (rest.length) tell(rest.join(" "));
    } else if (before && (document.activeElement === document.body || document.activeElement === null)) {
      $(`press-${before}`)?.focus({ preventScroll: true });
    }
  }

  return { group, settle };
}
