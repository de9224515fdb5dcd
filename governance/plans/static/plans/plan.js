// The page of a field plan: arrow keys between the cells of the matrix, and what is only there with a script.
// Without it every cell is reached by Tab, and the filter has its button.
"use strict";

(() => {
  const MOVES = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };

  function cells(table) {
    return [...table.tBodies[0].rows].map((row) => [...row.querySelectorAll("a.mx-cell")]);
  }

  function aim(table, link) {
    table.querySelectorAll('a.mx-cell[tabindex="0"]').forEach((other) => { other.tabIndex = -1; });
    link.tabIndex = 0;
  }

  function target(grid, row, column, event) {
    if (event.key === "Home") return event.ctrlKey ? grid[0][0] : grid[row][0];
    if (event.key === "End") return event.ctrlKey ? grid.at(-1).at(-1) : grid[row].at(-1);
    const move = MOVES[event.key];
    return move ? (grid[row + move[0]] || [])[column + move[1]] : undefined;
  }

  function rove(table) {
    table.querySelectorAll("a.mx-cell").forEach((link) => { link.tabIndex = -1; });
    const wanted = location.hash && table.querySelector(`a.mx-cell[id="${CSS.escape(location.hash.slice(1))}"]`);
    const first = wanted || table.querySelector("a.mx-cell");
    if (first) first.tabIndex = 0;
    if (wanted) wanted.focus();
    table.addEventListener("focusin", (event) => {
      if (event.target.matches("a.mx-cell")) aim(table, event.target);
    });
    table.addEventListener("keydown", (event) => {
      if (!event.target.matches("a.mx-cell") || event.altKey || event.metaKey) return;
      const grid = cells(table);
      const row = grid.findIndex((links) => links.includes(event.target));
      const next = target(grid, row, grid[row].indexOf(event.target), event);
      if (next) {
        event.preventDefault();
        next.focus();
      }
    });
  }

  function dress(root) {
    root.querySelectorAll("[data-scripted]").forEach((one) => { one.hidden = false; });
    root.querySelectorAll("[data-unscripted]").forEach((one) => { one.hidden = true; });
    root.querySelectorAll("table[data-roving]").forEach(rove);
    root.querySelectorAll(".mx-scroll").forEach((box) => {
      const scrolls = getComputedStyle(box).overflowX !== "visible";
      if (!scrolls) box.removeAttribute("tabindex"); // nothing to scroll: one stop of Tab less
    });
  }

  // A change in place: its form stands in a dialog, which gives the focus back to where it was opened.
  const box = document.getElementById("in-place-box");
  let opener = ""; // its id: the link itself is drawn anew with the parts

  function show(trigger) {
    if (trigger) {
      opener = trigger.id;
      document.getElementById("in-place-head").textContent = trigger.dataset.head || trigger.textContent.trim();
    }
    if (!box.open) box.showModal();
    const wrong = box.querySelector(".form-errors");
    (wrong || box.querySelector("input:not([type=hidden]), textarea, select") || box).focus();
  }

  function leave() {
    if (box && box.open) box.close();
  }

  if (box) {
    box.addEventListener("click", (event) => {
      if (!event.target.closest("[data-leave]")) return;
      event.preventDefault();
      leave();
    });
    box.addEventListener("close", () => { document.getElementById("in-place").replaceChildren(); });
  }

  // A check that takes longer than a blink says so.
  const PATIENCE_MS = 300;
  const waiting = new Map();

  function busy(is) {
    const checked = document.getElementById("checked");
    if (is) checked.setAttribute("aria-busy", "true");
    else checked.removeAttribute("aria-busy");
    const hint = document.getElementById("plan-busy");
    if (hint) hint.hidden = !is;
  }

  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.detail.target.id !== "checked") return;
    if (!event.detail.elt.closest("#in-place-box")) opener = "";
    waiting.set(event.detail.xhr, setTimeout(() => busy(true), PATIENCE_MS));
  });
  document.addEventListener("htmx:afterRequest", (event) => {
    clearTimeout(waiting.get(event.detail.xhr));
    waiting.delete(event.detail.xhr);
    if (!waiting.size) busy(false);
  });
  document.addEventListener("htmx:responseError", (event) => {
    // Refused, or gone meanwhile: the page itself says what is the matter.
    const link = event.detail.elt.closest("a[href]");
    if (link) location.assign(link.href);
  });

  document.querySelectorAll("[data-print]").forEach((button) => {
    button.hidden = false;
    button.addEventListener("click", () => window.print());
  });
  dress(document);
  document.addEventListener("htmx:afterSwap", (event) => {
    if (event.detail.target.id === "in-place") {
      const trigger = event.detail.requestConfig.elt;
      show(trigger.closest("#in-place-box") ? null : trigger);
    }
    if (event.detail.target.id !== "checked") return;
    leave();
    dress(event.detail.target);
    const refused = event.detail.target.querySelector(".form-errors");
    if (refused) refused.focus();
  });
  document.addEventListener("htmx:afterSettle", () => {
    // What was focused is gone: go on at what was said, not at the top of the page.
    if (document.activeElement !== document.body) return;
    const again = opener && document.getElementById(opener);
    (again || document.getElementById("plan-said")).focus();
  });
})();
