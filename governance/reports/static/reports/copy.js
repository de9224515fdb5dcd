// Copies the text of a field: `data-copy` on a button names it. The field is selected when it gets the focus.
"use strict";
for (const field of document.querySelectorAll("input[data-copied]")) {
  field.addEventListener("focus", () => field.select());
}
for (const button of document.querySelectorAll("button[data-copy]")) {
  const field = document.getElementById(button.dataset.copy);
  const said = field.closest(".field").querySelector("[data-copy-said]");
  button.hidden = false;
  button.addEventListener("click", async () => {
    field.focus();
    try {
      await navigator.clipboard.writeText(field.value);
      said.textContent = said.dataset.said;
    } catch {
      said.textContent = said.dataset.not;
    }
  });
}
