"use strict";
// Small manners for pages that swap parts. Every page works without this file.

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) window.print();
});

// A print button can do nothing without this file, so it stays hidden until the file is here.
document.querySelectorAll("[data-print][hidden]").forEach((button) => { button.hidden = false; });

// The frame holds these sentences in the language of the page.
const said = document.getElementById("said");

function say(sentence) {
  if (!said) return;
  const line = document.createElement("p");
  line.className = "stop";
  line.textContent = sentence;
  said.replaceChildren(line);
  said.scrollIntoView({ block: "nearest" });
}

document.addEventListener("htmx:sendError", () => {
  say(said?.dataset.unreached);
});

document.addEventListener("htmx:responseError", (event) => {
  const gone = event.detail.xhr.status === 403 || event.detail.xhr.status === 404;
  say(gone ? said?.dataset.closed : said?.dataset.failed);
});

// The same for copying an address: it can also be marked and copied by hand.
document.querySelectorAll("[data-copy][hidden]").forEach((button) => {
  if (!navigator.clipboard) return;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const words = button.textContent;
    await navigator.clipboard.writeText(document.getElementById(button.dataset.copy).textContent.trim());
    button.textContent = said.dataset.copied;
    setTimeout(() => { button.textContent = words; }, 3000);
  });
});
