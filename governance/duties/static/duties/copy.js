// Copies the text of a box at a press. Without script the box can be selected and copied by hand.
"use strict";

for (const button of document.querySelectorAll("button[data-copies]")) {
  const box = document.getElementById(button.dataset.copies);
  const face = button.textContent;
  box.addEventListener("focus", () => box.select());
  button.hidden = false;
  button.setAttribute("aria-live", "polite");
  button.addEventListener("click", async () => {
    box.select();
    try {
      await navigator.clipboard.writeText(box.value);
    } catch {
      if (!document.execCommand("copy")) return; // pages without https have no clipboard of their own
    }
    button.textContent = button.dataset.copied;
    setTimeout(() => { button.textContent = face; }, 2000);
  });
}
