// A click on a page fills the next empty box of the ranges: first page, then last. Without it the boxes are typed in.
"use strict";

const ranges = document.querySelector("form[data-ranges]");
if (ranges) {
  const hint = document.querySelector("[data-pick-hint]");
  if (hint) hint.hidden = false;
  let row = null;
  const rows = () => [...ranges.querySelectorAll("tbody tr")].filter((one) => one.querySelector("input[name$=-first]"));
  const box = (one, name) => one.querySelector(`input[name$=-${name}]`);
  ranges.addEventListener("focusin", (event) => { row = event.target.closest("tr") || row; });
  const current = () => {
    const open = rows().find((one) => box(one, "first").value && !box(one, "last").value);
    const focused = row && box(row, "first") && !box(row, "last").value ? row : null;
    return open || focused || rows().find((one) => !box(one, "paper").value && !box(one, "first").value) || rows().find((one) => !box(one, "first").value);
  };
  for (const link of document.querySelectorAll("a[data-page]")) {
    link.addEventListener("click", (event) => {
      if (event.ctrlKey || event.metaKey || event.shiftKey) return;
      const one = current();
      if (!one) return;
      event.preventDefault();
      const page = Number(link.dataset.page);
      const first = box(one, "first");
      if (!first.value || page < Number(first.value)) first.value = page;
      else box(one, "last").value = page;
      const isWhole = first.value && box(one, "last").value;
      (isWhole && !box(one, "paper").value ? box(one, "paper") : box(one, "last")).focus({ preventScroll: true });
      show();
    });
  }
  // Pages of rows that are not saved yet.
  const show = () => {
    for (const link of document.querySelectorAll("a[data-page]")) {
      const page = Number(link.dataset.page);
      const isIn = rows().some((one) => {
        const first = Number(box(one, "first").value);
        return first && first <= page && page <= Number(box(one, "last").value || first);
      });
      link.closest("li").classList.toggle("is-picked", isIn);
    }
  };
  ranges.addEventListener("input", show);
  show();
}
