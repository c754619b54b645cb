"use strict";
// Small comforts; every page works without them.
document.addEventListener("htmx:afterSwap", (event) => {
  // Whoever cannot see the page is told what came in.
  const told = event.target.querySelector("[data-focus]");
  if (told) told.focus();
});
document.addEventListener("htmx:sendError", () => {
  document.querySelectorAll("[data-away]").forEach((told) => { told.hidden = false; });
});
document.addEventListener("submit", (event) => {
  // A second press on the same form would only send the same token again.
  const button = event.submitter;
  if (button && event.target.method === "post") setTimeout(() => { button.disabled = true; }, 0);
});
window.addEventListener("pageshow", () => {
  document.querySelectorAll("button[disabled]").forEach((button) => { button.disabled = false; });
});
