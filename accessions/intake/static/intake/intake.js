// Makes the pages of a file nicer; every one of them works without it.
"use strict";

// A button says what goes on while a long answer is waited for, and cannot be pressed twice.
for (const form of document.querySelectorAll("form")) {
  form.addEventListener("submit", () => {
    const button = form.querySelector("button[data-busy]");
    if (!button) return;
    button.textContent = button.dataset.busy;
    button.setAttribute("aria-disabled", "true");
    setTimeout(() => { button.disabled = true; }, 0);
  });
}
addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });

const drop = document.getElementById("drop");
if (drop) {
  const input = drop.querySelector("input[type=file]");
  const chosen = document.getElementById("chosen");
  drop.querySelector(".drop-words").hidden = false;
  const tell = () => { chosen.textContent = input.files.length ? `${input.files[0].name}, ${size(input.files[0].size)}` : ""; };
  const size = (bytes) => bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1e3))} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
  input.addEventListener("change", tell);
  for (const kind of ["dragenter", "dragover"]) {
    drop.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.add("is-over"); });
  }
  for (const kind of ["dragleave", "drop"]) {
    drop.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.remove("is-over"); });
  }
  drop.addEventListener("drop", (event) => {
    if (!event.dataTransfer.files.length) return;
    input.files = event.dataTransfer.files;
    tell();
  });
}
