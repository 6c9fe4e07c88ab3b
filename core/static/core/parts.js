"use strict";
// Small manners for pages that swap parts. Every page works without this file.

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) window.print();
});

// A print button can do nothing without this file, so it stays hidden until the file is here.
document.querySelectorAll("[data-print][hidden]").forEach((button) => { button.hidden = false; });

function say(sentence) {
  const place = document.getElementById("said");
  if (!place) return;
  const line = document.createElement("p");
  line.className = "stop";
  line.textContent = sentence;
  place.replaceChildren(line);
  place.scrollIntoView({ block: "nearest" });
}

document.addEventListener("htmx:sendError", () => {
  say("We didn’t get that. What you typed is still here. Check your connection and try again.");
});

document.addEventListener("htmx:responseError", (event) => {
  const gone = event.detail.xhr.status === 403 || event.detail.xhr.status === 404;
  say(gone
    ? "You can’t use this part of the page anymore. Reload the page."
    : "Something went wrong on our end. What you typed is still here. Wait a minute and try again.");
});

// The same for copying an address: it can also be marked and copied by hand.
document.querySelectorAll("[data-copy][hidden]").forEach((button) => {
  if (!navigator.clipboard) return;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const words = button.textContent;
    await navigator.clipboard.writeText(document.getElementById(button.dataset.copy).textContent.trim());
    button.textContent = "Copied";
    setTimeout(() => { button.textContent = words; }, 3000);
  });
});
