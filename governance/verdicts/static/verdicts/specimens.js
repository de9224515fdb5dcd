// The list of specimens: select a page at once, say how many are selected, keys for rows. All of it works without.
"use strict";

const form = document.querySelector("[data-selection]");

function picks() {
  return [...form.querySelectorAll('input[name="pick"]')];
}

function show() {
  const all = picks();
  const chosen = all.filter((pick) => pick.checked);
  const label = form.querySelector("[data-selected]");
  const page = form.querySelector("[data-select-page]");
  for (const pick of all) pick.closest("tr").setAttribute("aria-selected", String(pick.checked));
  page.checked = chosen.length === all.length;
  page.indeterminate = chosen.length > 0 && chosen.length < all.length;
  if (chosen.length === 0) label.textContent = label.dataset.none;
  else if (chosen.length === 1) label.textContent = label.dataset.one;
  else label.textContent = label.dataset.many.replace("%n", String(chosen.length));
}

function selectRange(from, to, checked) {
  const all = picks();
  const [first, last] = [all.indexOf(from), all.indexOf(to)].sort((a, b) => a - b);
  for (const pick of all.slice(first, last + 1)) pick.checked = checked;
}

if (form) {
  let latest = null;
  const page = form.querySelector("[data-select-page]");
  page.hidden = false;
  page.addEventListener("change", () => {
    for (const pick of picks()) pick.checked = page.checked;
    show();
  });
  form.addEventListener("click", (event) => {
    if (!event.target.matches('input[name="pick"]')) return;
    if (event.shiftKey && latest) selectRange(latest, event.target, event.target.checked);
    latest = event.target;
    show();
  });
  form.addEventListener("keydown", (event) => {
    const row = event.target.closest("tbody tr");
    const next = { ArrowDown: "nextElementSibling", ArrowUp: "previousElementSibling" }[event.key];
    if (!row || !next || !row[next]) return;
    const same = event.target.matches('input[name="pick"]') ? 'input[name="pick"]' : "th a";
    row[next].querySelector(same).focus();
    event.preventDefault();
  });
  show();
}

const printer = document.querySelector("[data-print]");
if (printer) {
  printer.hidden = false;
  printer.addEventListener("click", () => window.print());
}
