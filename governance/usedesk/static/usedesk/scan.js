// The scan page: what a reader types becomes a line at once, and is sent from a queue that outlives the page.
// Without script the same page is a form of one field.
import { Camera, canRead } from "./scan_camera.js";
import { Queue, newKey } from "./scan_queue.js";
import { canSpeak, say, sound } from "./scan_sound.js";

const LAST_LINES = 20;
const UNDO = /^\s*(?:\][a-z][0-9a-z])?\*?undo\*?\s*$/i;
const desk = document.querySelector("[data-scan]");

function start() {
  const find = (name) => desk.querySelector(`[data-${name}]`);
  const form = find("form");
  const field = form.querySelector("input[name=code]");
  const rows = find("rows");
  const sounds = kept("sound", find("sound"), true);
  const speech = kept("speech", find("speech"), false);
  const undoable = desk.dataset.undoable ? [desk.dataset.undoable] : [];
  const pending = new Map(); // key of a line, or of the taking out of one: its row

  const queue = new Queue(
    { ...desk.dataset, token: form.querySelector("[name=csrfmiddlewaretoken]").value },
    { changed: showCount, answered: show, tally: showTally, trouble: showTrouble, well: hideTrouble },
  );

  // Reading ------------------------------------------------------------------------------------------------------

  function read(text) {
    const code = text.trim();
    if (!code) return;
    if (UNDO.test(code)) {
      undo();
      return;
    }
    const line = { key: newKey(), code: code.slice(0, 4000) };
    drawPending(line);
    undoable.push(line.key);
    queue.add(line);
  }

  function undo() {
    const target = undoable.pop();
    if (target) queue.add({ key: newKey(), undo: target });
  }

  function take() {
    const text = field.value;
    field.value = "";
    read(text);
  }

  form.addEventListener("submit", (event) => { event.preventDefault(); take(); field.focus(); });
  field.addEventListener("keydown", (event) => {
    if (event.key === "Tab" && !event.shiftKey && field.value.trim()) { event.preventDefault(); take(); }
    if (event.key === "Escape") { event.preventDefault(); field.value = ""; }
    if ((event.ctrlKey || event.metaKey) && !event.shiftKey && event.key.toLowerCase() === "z" && !field.value) {
      event.preventDefault();
      undo();
    }
  });
  field.addEventListener("paste", (event) => {
    const lines = event.clipboardData.getData("text").split(/[\r\n]+/).filter((line) => line.trim());
    if (lines.length < 2) return;
    event.preventDefault();
    field.value = "";
    lines.forEach(read);
  });

  // Focus comes back: a reader that types finds the field wherever the hand was last.
  document.addEventListener("keydown", (event) => {
    if (event.key.length !== 1 || event.key === " " || event.ctrlKey || event.metaKey || event.altKey) return;
    if (!event.target.closest("input:not([type=checkbox]), textarea, select")) field.focus();
  });
  document.addEventListener("keydown", (event) => { if (event.key === "Escape") field.focus(); });
  document.addEventListener("click", (event) => {
    if (!event.target.closest("a, button, input, label, textarea, select") && !String(getSelection())) field.focus();
  });
  addEventListener("focus", () => { if (document.activeElement === document.body) field.focus(); });

  // Buttons of the lines are forms of their own and load the page anew: not while codes are on their way.
  desk.addEventListener("submit", (event) => {
    if (event.target === form || !queue.lines.length) return;
    event.preventDefault();
    showTrouble("waits");
    queue.send();
  });

  // Drawing ------------------------------------------------------------------------------------------------------

  function fromTemplate(name, code) {
    const made = find(name).content.firstElementChild.cloneNode(true);
    made.querySelector("[data-code]").textContent = code;
    return made;
  }

  function drawn(html) {
    const holder = document.createElement("template");
    holder.innerHTML = html;
    for (const token of holder.content.querySelectorAll("[name=csrfmiddlewaretoken]")) token.value = queue.token;
    return holder.content.firstElementChild;
  }

  function drawPending(line) {
    const row = fromTemplate("pending", line.code);
    pending.set(line.key, row);
    rows.prepend(row);
    find("none")?.remove();
    while (rows.children.length > Math.max(LAST_LINES, pending.size)) rows.lastElementChild.remove();
    find("big").replaceChildren(fromTemplate("pending-big", line.code));
  }

  function show(answer) {
    if (answer.blank) { pending.get(answer.key)?.remove(); pending.delete(answer.key); return; }
    if (answer.refused) { tell(answer.refused, "unknown"); showTrouble("refused", answer.refused); return; }
    const row = drawn(answer.row);
    const key = row.dataset.line;
    const isLast = !answer.undo && lastKey() === answer.key;
    const before = pending.get(answer.key) || rows.querySelector(`[data-line="${key}"]`);
    if (before) before.replaceWith(row); else if (!answer.undo) rows.prepend(row);
    pending.delete(answer.key);
    showOpen(answer, row, key);
    if (isLast || (answer.undo && !pending.size)) find("big").replaceChildren(drawn(answer.big));
    tell(answer.said, answer.tone);
  }

  function lastKey() {
    const waiting = [...pending.keys()];
    return waiting.at(-1);
  }

  function showOpen(answer, row, key) {
    const list = find("waiting");
    list.querySelector(`[data-line="${key}"]`)?.remove();
    if (answer.open) list.prepend(row.cloneNode(true));
    find("again").hidden = !list.children.length;
    find("none-open").hidden = Boolean(list.children.length);
  }

  function tell(words, tone) {
    find("said").textContent = words;
    if (sounds.checked) sound(tone);
    if (speech.checked && !["go", "found"].includes(tone)) say(words);
  }

  function showCount(count) {
    const place = find("queue");
    place.hidden = false;
    place.dataset.count = count;
    place.textContent = numbered(place.dataset, count, place.dataset.sent);
  }

  function showTally(tally) {
    const basket = document.querySelector("[data-basket]");
    const open = document.querySelector("[data-open]");
    basket.innerHTML = numbered(basket.dataset, tally.basket);
    open.textContent = numbered(open.dataset, tally.open, open.dataset.none);
  }

  function numbered(words, count, none) {
    if (!count && none) return none;
    return (count === 1 ? words.one : words.many).replace("%n", count.toLocaleString("en"));
  }

  function showTrouble(kind, words) {
    const place = find("trouble");
    const of = { "signed-out": "signedOut", "not-allowed": "notAllowed" }[kind] || kind;
    find("trouble-words").textContent = words || place.dataset[of] || "";
    find("sign-in").hidden = kind !== "signed-out";
    place.hidden = false;
  }

  function hideTrouble() {
    if (queue.isKept) find("trouble").hidden = true; else showTrouble("memory");
  }

  // Options ------------------------------------------------------------------------------------------------------

  function kept(name, box, byDefault) {
    let before = null;
    try { before = localStorage.getItem(`fieldwrit-scan-option-${name}`); } catch { /* nothing is kept here */ }
    box.checked = before === null ? byDefault : before === "1";
    box.addEventListener("change", () => {
      try { localStorage.setItem(`fieldwrit-scan-option-${name}`, box.checked ? "1" : "0"); } catch { /* as above */ }
      field.focus();
    });
    return box;
  }

  function offerCamera() {
    const button = find("camera");
    const camera = new Camera(find("video"), read);
    button.hidden = false;
    button.addEventListener("click", async () => {
      find("camera-words").textContent = "";
      try {
        if (camera.isOn) camera.stop(); else await camera.start();
      } catch {
        camera.stop();
        find("camera-words").textContent = find("camera-words").dataset.refused;
      }
      button.setAttribute("aria-pressed", String(camera.isOn));
      field.focus();
    });
    addEventListener("pagehide", () => camera.stop());
  }

  // Start --------------------------------------------------------------------------------------------------------

  find("options").hidden = false;
  find("scripted").hidden = false;
  find("speech-option").hidden = !canSpeak;
  if (canRead()) offerCamera();
  const others = queue.ofOthers;
  find("others").hidden = !others;
  if (others) find("others").textContent = numbered(find("others").dataset, others);
  for (const line of queue.lines) {
    if (line.code) { drawPending(line); undoable.push(line.key); }
    else undoable.splice(undoable.indexOf(line.undo) >>> 0, 1);
  }
  showCount(queue.lines.length);
  hideTrouble();
  queue.send();
  field.focus();
}

if (desk) start();
