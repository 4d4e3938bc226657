// The PIN pad. Without this file the field below is an ordinary one and the pad stays hidden.
"use strict";

document.addEventListener("DOMContentLoaded", () => {
  const field = document.querySelector(".pin input[type=password]");
  const keys = document.querySelector(".pin .keys");
  if (!field || !keys) return;
  keys.hidden = false;
  field.inputMode = "none"; // the tablet's own keyboard would cover the pad; a real keyboard still types
  field.focus();
  keys.addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (!key) return;
    if (key.hasAttribute("data-clear")) field.value = "";
    else if (key.dataset.digit && field.value.length < field.maxLength) field.value += key.dataset.digit;
  });
});
