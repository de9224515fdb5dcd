// Takes offers over in place. Without it the same buttons send the form, which comes back with the box filled.
"use strict";

(() => {
  const panel = document.querySelector("[data-offers]");
  if (!panel) return;
  const form = panel.closest("form");
  const told = panel.querySelector("[data-offers-told]");
  const words = panel.dataset;
  const pageBoxes = { in_force_from: "page_valid", in_force_to: "page_valid", taxa: "page_taxa", methods: "page_methods" };

  const linesOf = (box) => box.value.split("\n").map((line) => line.trim()).filter(Boolean);

  function noteTaken(key) {
    if (form.querySelector(`input[name="taken"][value="${key}"]`)) return;
    const note = document.createElement("input");
    note.type = "hidden";
    note.name = "taken";
    note.value = key;
    form.prepend(note);
  }

  function take(button) {
    const { take: key, field, written, page } = button.dataset;
    const box = form.elements[field];
    if ("isList" in button.dataset) {
      const lines = linesOf(box);
      if (!lines.includes(written)) box.value = [...lines, written].join("\n");
      if (box.rows) box.rows = Math.max(box.rows, Math.min(14, linesOf(box).length + 1));
    } else {
      box.value = written;
    }
    const details = box.closest("details");
    if (details) details.open = true;
    const pageBox = form.elements[pageBoxes[field]];
    if (pageBox && !pageBox.value) pageBox.value = page;
    noteTaken(key);
    box.dispatchEvent(new Event("input", { bubbles: true }));
    return written;
  }

  // What the boxes hold decides what each button says, whoever filled them.
  function settle(row) {
    const buttons = [...row.querySelectorAll("[data-take]")];
    if (!buttons.length) return;
    const box = form.elements[row.dataset.offer];
    const lines = linesOf(box);
    const isList = "isList" in buttons[0].dataset;
    const isStanding = buttons.some((button) => lines.includes(button.dataset.written));
    row.dataset.state = isStanding ? "standing" : lines.length && !isList ? "other" : "blank";
    for (const button of buttons) {
      button.hidden = isStanding;
      const verb = button.querySelector("[data-verb]");
      if (verb) verb.textContent = row.dataset.state === "other" ? words.wordsReplace : words.wordsTake;
    }
    row.querySelector("[data-present]")?.remove();
    showStanding(row, isStanding);
  }

  function showStanding(row, isStanding) {
    const acts = row.querySelector(".offer-acts");
    const there = acts.querySelector("[data-standing]");
    if (there && !isStanding) there.remove();
    if (there || !isStanding) return;
    const mark = document.createElement("span");
    mark.className = "offer-standing";
    mark.dataset.standing = "";
    mark.textContent = words.wordsStanding;
    acts.prepend(mark);
  }

  function settleAll(name) {
    for (const row of panel.querySelectorAll(`[data-offer="${name}"]`)) settle(row);
    const all = panel.querySelector(`[data-take-all="${name}"]`);
    if (all) all.hidden = !panel.querySelector(`[data-offer="${name}"] [data-take]:not([hidden])`);
  }

  // A button that goes takes the focus with it: the next one that can be pressed gets it.
  function moveOn(button) {
    if (!button.hidden) return;
    const all = [...panel.querySelectorAll("button:not([hidden])")];
    const next = all.find((other) => button.compareDocumentPosition(other) & Node.DOCUMENT_POSITION_FOLLOWING);
    (next || form.elements[button.dataset.field || button.dataset.takeAll]).focus();
  }

  panel.addEventListener("click", (event) => {
    const one = event.target.closest("[data-take]");
    const all = event.target.closest("[data-take-all]");
    if (!one && !all) return;
    event.preventDefault();
    const name = one ? one.dataset.field : all.dataset.takeAll;
    const wanted = one ? [one] : [...panel.querySelectorAll(`[data-offer="${name}"] [data-take]:not([hidden])`)];
    const written = wanted.map(take);
    settleAll(name);
    told.textContent = `${words.wordsTold} ${written.join(", ")}`;
    moveOn(one || all);
  });

  form.addEventListener("input", (event) => {
    if (event.target.name) settleAll(event.target.name);
  });
})();
