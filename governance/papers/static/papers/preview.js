/* Shows the preview on the page instead of in a new one. Without it the button opens the same answer in a new page. */
"use strict";
(() => {
  const button = document.querySelector("[data-preview]");
  const here = document.querySelector("[data-preview-here]");
  if (!button || !here) return;
  button.addEventListener("click", async (event) => {
    event.preventDefault();
    button.disabled = true;
    try {
      const answer = await fetch(button.formAction, {
        method: "POST", body: new FormData(button.form), headers: { "X-Part": "1" }, credentials: "same-origin",
      });
      here.innerHTML = await answer.text();
      here.scrollIntoView({ block: "end" });
    } finally {
      button.disabled = false;
    }
  });
})();
