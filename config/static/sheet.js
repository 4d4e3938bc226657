// What a page cannot do by itself: tell people when the server does not answer, and keep the place on the page.
"use strict";

function say(text) {
  const place = document.getElementById("messages");
  if (!place) return;
  const line = document.createElement("p");
  line.className = "message error";
  line.textContent = text;
  place.replaceChildren(line);
  place.scrollIntoView({ block: "nearest" });
}

document.addEventListener("htmx:sendError", () =>
  say("The server did not answer: nothing was recorded. Check the network and press again."));

document.addEventListener("htmx:responseError", (event) => {
  const status = event.detail.xhr.status;
  if (status === 403) say("Not recorded: sign in again, or ask a manager. Reload the page first.");
  else if (status === 404) say("Not recorded: somebody has removed this in the meantime. Reload the page.");
  else if (status === 409) say("Not recorded: somebody else was quicker. Reload the page and look again.");
  else say("Not recorded: the server met a fault. Reload the page and press again; if it stays, tell the manager.");
});

// A second press while the first is under way would be refused by the server; spare people the message.
document.addEventListener("submit", (event) => {
  const button = event.submitter;
  if (button && !event.target.hasAttribute("hx-post")) {
    setTimeout(() => button.setAttribute("disabled", ""), 0);
  }
});
window.addEventListener("pageshow", () =>
  document.querySelectorAll("button[disabled]").forEach((button) => button.removeAttribute("disabled")));
