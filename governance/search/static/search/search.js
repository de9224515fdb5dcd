// The search box at the head of every page: "/" leads to it, and it suggests numbers and names that begin as typed.
// A reader of labels types faster than a hand and ends with Enter. What it types where nothing is written is looked for;
// in a field that names another (data-after-read), it leads on to that and does not send the form.
// Without script it is a plain form.
"use strict";

const box = document.getElementById("find");
const options = document.getElementById("find-options");
let read = ""; // typed without a pause
let firstAt = 0;
let lastAt = 0;

const isWrittenIn = (at) => at.isContentEditable || /^(input|textarea|select)$/i.test(at.tagName);

document.addEventListener("keydown", (event) => {
  const isMidCode = read.length > 1 && event.timeStamp - lastAt < 50;
  if (event.key !== "/" || isMidCode || isWrittenIn(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  box.focus();
  box.select();
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Enter") {
    const isRead = read.length > 5 && (lastAt - firstAt) / read.length < 50 && event.timeStamp - lastAt < 300;
    if (isRead && !document.querySelector("[data-scan]")) afterReading(event, read);
    read = "";
  } else if (event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) {
    if (event.timeStamp - lastAt > 300) read = "";
    if (!read) firstAt = event.timeStamp;
    read += event.key;
    lastAt = event.timeStamp;
  }
});

function afterReading(event, code) {
  const next = document.getElementById(event.target.dataset?.afterRead ?? "");
  if (next) {
    event.preventDefault();
    next.focus();
  } else if (box && !isWrittenIn(event.target)) {
    event.preventDefault();
    box.value = code;
    box.form.requestSubmit();
  }
}

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
