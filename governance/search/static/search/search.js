// The search box at the head of every page: "/" leads to it, and it suggests numbers and names that begin as typed.
// Without script it is a plain form.
"use strict";

const box = document.getElementById("find");
const options = document.getElementById("find-options");

document.addEventListener("keydown", (event) => {
  const at = event.target;
  const isTyping = at.isContentEditable || /^(input|textarea|select)$/i.test(at.tagName);
  if (event.key !== "/" || isTyping || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  box.focus();
  box.select();
});

if (box && options) {
  let waits;
  let asked = "";
  const suggest = async () => {
    const text = box.value.trim();
    if (text.length < 2 || text === asked) return;
    asked = text;
    const answer = await fetch(`${options.dataset.from}?q=${encodeURIComponent(text)}`, { credentials: "same-origin" }).catch(() => null);
    if (!answer || !answer.ok || answer.redirected || box.value.trim() !== text) return;
    const told = await answer.json();
    options.replaceChildren(...told.options.map(([value, what]) => new Option(`${value} (${what})`, value)));
  };
  box.form.addEventListener("submit", () => clearTimeout(waits));
  box.addEventListener("input", () => {
    clearTimeout(waits);
    waits = setTimeout(suggest, 150); // a reader of labels is through before that
  });
}
