// The page of the terms of use: folds, keeps the heads in step with the boxes, shows the quoted page in the scan.
// Without it all of that works by the browser's own folding and by sending the form.
"use strict";

(() => {
  const form = document.querySelector("[data-terms]");
  if (!form) return;
  const blocks = [...form.querySelectorAll("[data-use]")];
  const controls = (block, name) => block.querySelectorAll(`[name$="-${name}"]`);

  function saidOf(block) {
    const picked = [...controls(block, "said")].find((radio) => radio.checked);
    return picked && picked.value ? picked.closest("label").textContent.trim() : "";
  }

  function headOf(block) {
    const said = saidOf(block);
    const told = block.querySelector("[data-said]");
    told.textContent = said || form.dataset.wordsUnread;
    const picked = [...controls(block, "said")].find((radio) => radio.checked);
    const sign = block.querySelector(".use-sign");
    const known = picked && picked.closest("label").querySelector(".use-sign");
    if (sign && known) {
      sign.dataset.v = known.dataset.v;
      sign.querySelector("use").setAttribute("href", known.querySelector("use").getAttribute("href"));
    }
  }

  function showButton(block) {
    const button = block.querySelector("[data-show-page]");
    if (!button) return;
    const page = Number(document.getElementById(button.dataset.showPage).value);
    const isPage = Number.isInteger(page) && page > 0;
    button.hidden = !isPage;
    if (isPage) button.dataset.panePage = String(page + Number(form.dataset.firstPage || 1) - 1);
  }

  function foldAll() {
    const place = form.querySelector("[data-fold-here]");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn s quiet";
    const settle = () => {
      const isOpen = blocks.some((block) => block.open);
      button.textContent = isOpen ? form.dataset.wordsClose : form.dataset.wordsOpen;
    };
    button.addEventListener("click", () => {
      const isOpen = blocks.some((block) => block.open);
      for (const block of blocks) block.open = !isOpen;
    });
    for (const block of blocks) block.addEventListener("toggle", settle);
    settle();
    place.after(button);
  }

  for (const block of blocks) {
    block.addEventListener("input", () => { headOf(block); showButton(block); });
    showButton(block);
  }
  foldAll();

  // A link to a box that is folded away unfolds it first.
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]');
    const target = link && document.getElementById(link.hash.slice(1));
    if (!target || !form.contains(target)) return;
    for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    (target.matches("fieldset") ? target.querySelector("input") : target).focus();
  });

  const refused = document.querySelector(".form-errors");
  if (refused) refused.focus();
})();
