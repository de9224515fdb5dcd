/* A site brings its country; lists of people and methods grow by choosing. The page works without it. */
"use strict";
(() => {
  const site = document.querySelector("[name=site]");
  const country = document.querySelector("[name=country]");
  if (site && country) {
    site.addEventListener("change", () => {
      const known = [...document.querySelectorAll("#sites-known option")];
      const chosen = known.find((option) => option.value === site.value);
      if (!chosen || !chosen.dataset.country) return;
      country.value = chosen.dataset.country;
      country.dispatchEvent(new Event("change"));
    });
  }
  /* A box that holds several words, parted by "|", gets a second box to choose one more from. */
  for (const box of document.querySelectorAll("[data-adds-from]")) {
    const row = document.createElement("span");
    row.className = "plan-adds";
    const choice = document.createElement("input");
    choice.className = "in s";
    choice.setAttribute("list", box.dataset.addsFrom);
    choice.setAttribute("aria-label", box.dataset.addsLabel);
    choice.placeholder = box.dataset.addsLabel;
    choice.autocomplete = "off";
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn s";
    button.textContent = box.dataset.addsButton;
    const add = () => {
      const held = box.value.split("|").map((word) => word.trim()).filter(Boolean);
      const word = choice.value.trim();
      if (word && !held.includes(word)) box.value = [...held, word].join(" | ");
      choice.value = "";
      choice.focus();
    };
    button.addEventListener("click", add);
    choice.addEventListener("keydown", (event) => {
      if (event.key === "Enter") { event.preventDefault(); add(); }
    });
    row.append(choice, button);
    box.after(row);
  }
})();
