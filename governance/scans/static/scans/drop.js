// Files dropped, chosen, photographed or pasted, sent in pieces (the open protocol tus 1.0) and then filed together.
// Without this script the same form sends whole files. A lost connection is tried again after growing pauses and goes
// on where the server says; after a reload the same file, chosen again, goes on as well.
"use strict";

const PIECE = 4 * 1024 * 1024;
const PAUSES = [1, 2, 4, 8, 15, 30, 30, 60, 60, 120];
const TOGETHER = 2;
const TUS = "1.0.0";

const size = (bytes) => (bytes < 1e6 ? `${Math.max(bytes && 1, Math.round(bytes / 1e3))} kB` : `${(bytes / 1e6).toFixed(1)} MB`);
const fill = (words, values) => words.replace(/\{(\w+)\}/g, (_all, name) => values[name]);

class Lost extends Error {}
class SignedOut extends Error {}
class Refused extends Error {}

// What was begun and not filed, kept by the browser for the next visit: name, size, time of change and address only.
class Memory {
  constructor(key) { this.key = `fieldwrit drop ${key}`; }
  all() {
    try { return JSON.parse(localStorage.getItem(this.key)) || {}; } catch { return {}; }
  }
  change(edit) {
    const kept = this.all();
    edit(kept);
    try {
      if (Object.keys(kept).length) localStorage.setItem(this.key, JSON.stringify(kept));
      else localStorage.removeItem(this.key);
    } catch { /* a browser that keeps nothing cannot go on after a reload, and all else works */ }
  }
  keep(print, entry) { this.change((kept) => { kept[print] = entry; }); }
  forget(print) { this.change((kept) => { delete kept[print]; }); }
}

function request(method, url, { headers = {}, body = null, progress = null, token = "", hold = null } = {}) {
  return new Promise((resolve, reject) => {
    const call = new XMLHttpRequest();
    if (hold) hold(call);
    call.open(method, url);
    for (const [name, value] of Object.entries({ "Tus-Resumable": TUS, "X-CSRFToken": token, ...headers })) call.setRequestHeader(name, value);
    if (progress) call.upload.addEventListener("progress", (event) => progress(event.loaded));
    call.addEventListener("load", () => {
      if (new URL(call.responseURL || url, location.href).pathname.includes("/sign-in")) reject(new SignedOut());
      else if (call.status >= 500) reject(new Lost());
      else resolve(call);
    });
    for (const kind of ["error", "timeout", "abort"]) call.addEventListener(kind, () => reject(new Lost()));
    call.send(body);
  });
}

// One file on its way, and its row on the page.
class Sending {
  constructor(drop, file) {
    this.drop = drop;
    this.file = file;
    this.print = `${file.name}|${file.size}|${file.lastModified}`;
    this.offset = 0;
    this.state = "waiting";
    this.row = drop.template.content.firstElementChild.cloneNode(true);
    this.part("name").textContent = file.name;
    this.part("size").textContent = size(file.size);
    this.part("of").textContent = ` ${file.name}`;
    this.part("stop-of").textContent = ` ${file.name}`;
    this.part("bar").setAttribute("aria-label", file.name);
    this.part("again").addEventListener("click", () => { this.tell("waiting", drop.words.waiting); drop.next(); });
    this.part("stop").addEventListener("click", () => this.stop());
    drop.rows.append(this.row);
    this.tell("waiting", drop.words.waiting);
  }
  part(name) { return this.row.querySelector(`[data-${name}]`); }
  get told() { return { sent: size(this.offset), all: size(this.file.size) }; }
  get token() { return this.location.replace(/\/$/, "").split("/").pop(); }

  tell(state, words, retry = false) {
    this.state = state;
    this.row.dataset.became = state;
    this.part("state").textContent = words;
    this.part("again").hidden = !retry;
    this.part("bar").hidden = state !== "sending";
    this.part("stop").hidden = !["waiting", "sending", "stopped"].includes(state);
  }

  // The person does not want this file after all.
  stop() {
    this.tell("ended", this.drop.words.ended);
    this.drop.memory.forget(this.print);
    this.call?.abort();
    if (this.location) request("DELETE", this.location, { token: this.drop.token }).catch(() => null);
    this.drop.next();
  }

  async run() {
    if (!this.file.size) return this.refuse(this.drop.words.empty);
    this.tell("sending", fill(this.drop.words.sending, { ...this.told, left: this.drop.words.leftUnknown }));
    for (let tries = 0; ;) {
      const before = this.offset;
      try {
        await this.send();
        return this.state === "ended" ? null : this.tell("arrived", this.drop.words.filing);
      } catch (error) {
        if (this.state === "ended") return null;
        if (error instanceof SignedOut) return this.tell("stopped", this.drop.words.signedOut, true);
        if (error instanceof Refused) return this.refuse(error.message);
        if (!(error instanceof Lost)) return this.refuse(fill(this.drop.words.refused, { n: error.name }));
        tries = this.offset > before ? 0 : tries;
        if (tries >= PAUSES.length) return this.tell("stopped", fill(this.drop.words.gaveUp, this.told), true);
        await this.pause(PAUSES[tries]);
        if (this.state === "ended") return null;
        tries += 1;
      }
    }
  }

  // Counts down in the row; ends at once when the browser says that the connection is back.
  async pause(seconds) {
    this.drop.say(`${this.file.name}: ${fill(this.drop.words.lost, { ...this.told, n: seconds })}`);
    let back = false;
    const online = () => { back = true; };
    addEventListener("online", online, { once: true });
    for (let left = seconds; left > 0 && !back && this.state !== "ended"; left -= 1) {
      this.tell("sending", fill(this.drop.words.lost, { ...this.told, n: left }));
      await new Promise((resolve) => { setTimeout(resolve, 1000); });
    }
    removeEventListener("online", online);
  }

  refuse(words) {
    this.drop.memory.forget(this.print);
    this.isUnsent = true;
    this.tell("refused", words);
  }

  async send() {
    const known = this.location || this.drop.memory.all()[this.print]?.location;
    if (!known || !(await this.find(known))) await this.announce();
    this.started = { at: performance.now(), offset: this.offset };
    while (this.offset < this.file.size && this.state !== "ended") await this.piece();
  }

  // Where the server stands; false if it knows this file no longer.
  async find(known) {
    const answer = await request("HEAD", known, { token: this.drop.token });
    const offset = Number(answer.getResponseHeader("Upload-Offset"));
    const same = answer.status === 200 && Number(answer.getResponseHeader("Upload-Length")) === this.file.size;
    this.location = same ? known : "";
    this.offset = same ? offset : 0;
    if (same && offset) this.tell("sending", fill(this.drop.words.resumed, this.told));
    return same;
  }

  async announce() {
    const bytes = new TextEncoder().encode(this.file.name);
    const name = btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
    const headers = { "Upload-Length": String(this.file.size), "Upload-Metadata": `filename ${name}` };
    const answer = await request("POST", this.drop.uploads, { headers, token: this.drop.token });
    if (answer.status !== 201) throw new Refused(this.problem(answer));
    this.location = answer.getResponseHeader("Location");
    this.offset = 0;
    this.drop.memory.keep(this.print, { location: this.location, name: this.file.name });
  }

  async piece() {
    const from = this.offset;
    const headers = { "Content-Type": "application/offset+octet-stream", "Upload-Offset": String(from) };
    const body = this.file.slice(from, from + PIECE);
    const answer = await request("PATCH", this.location, { headers, body, token: this.drop.token, progress: (sent) => this.show(from + sent), hold: (call) => { this.call = call; } });
    if (answer.status === 409 || answer.status === 404 || answer.status === 410) throw new Lost();
    if (answer.status !== 204) throw new Refused(this.problem(answer));
    this.offset = Number(answer.getResponseHeader("Upload-Offset"));
    this.show(this.offset);
  }

  problem(answer) {
    const isText = (answer.getResponseHeader("Content-Type") || "").startsWith("text/plain");
    return (isText && answer.responseText.trim().slice(0, 500)) || fill(this.drop.words.refused, { n: answer.status });
  }

  show(sent) {
    const { words } = this.drop;
    const speed = (sent - this.started.offset) / (performance.now() - this.started.at);
    const seconds = Math.ceil((this.file.size - sent) / speed / 1000);
    const left = !Number.isFinite(seconds) ? words.leftUnknown : fill(seconds < 90 ? words.leftS : words.leftM, { n: seconds < 90 ? seconds : Math.round(seconds / 60) });
    const all = sent >= this.file.size;
    if (this.state === "ended") return;
    this.part("bar").value = (100 * sent) / this.file.size;
    this.part("state").textContent = all ? words.checking : fill(words.sending, { sent: size(sent), all: size(this.file.size), left });
  }
}

class Drop {
  constructor(form) {
    this.form = form;
    this.uploads = form.dataset.uploads;
    this.words = Object.fromEntries(Object.entries(form.querySelector("[data-words]").dataset).filter(([name]) => /^w[A-Z]/.test(name)).map(([name, words]) => [name[1].toLowerCase() + name.slice(2), words]));
    this.token = form.querySelector("[name=csrfmiddlewaretoken]").value;
    this.memory = new Memory(new URL(form.action).pathname);
    this.rows = form.querySelector("[data-rows]");
    this.template = form.querySelector("template[data-row]");
    this.zone = form.querySelector("[data-zone]");
    this.sendings = [];
    this.isFiling = false;
    form.classList.add("is-scripted");
    for (const part of form.querySelectorAll("[data-scripted]")) part.hidden = false;
    for (const part of form.querySelectorAll("[data-unscripted]")) part.hidden = true;
    this.listen();
    this.offer();
  }

  listen() {
    const { form, zone } = this;
    form.addEventListener("submit", (event) => event.preventDefault());
    for (const input of form.querySelectorAll("input[type=file]")) {
      const take = () => {
        const files = [...input.files];
        input.value = "";
        this.add(input.name === "photographs" ? named(files, this.words.photograph) : files);
      };
      input.addEventListener("change", take);
      take(); // what was chosen while this script was still on its way
    }
    const brings = (event) => [...(event.dataTransfer?.types || [])].includes("Files");
    addEventListener("dragover", (event) => {
      if (!brings(event)) return;
      event.preventDefault();
      zone.classList.add("is-over");
    });
    addEventListener("dragleave", (event) => { if (!event.relatedTarget) zone.classList.remove("is-over"); });
    addEventListener("drop", async (event) => {
      zone.classList.remove("is-over");
      if (!brings(event)) return;
      event.preventDefault();
      this.add(await filesOf(event.dataTransfer));
    });
    addEventListener("paste", (event) => {
      const files = [...(event.clipboardData?.files || [])];
      if (files.length) this.add(named(files, this.words.pasted));
    });
    addEventListener("beforeunload", (event) => { if (this.isBusy) event.preventDefault(); });
  }

  get isBusy() { return this.isFiling || this.sendings.some((one) => one.state === "waiting" || one.state === "sending"); }

  say(words) { this.form.querySelector("[data-said]").textContent = words; }

  add(files) {
    if (!files.length) return;
    this.rows.hidden = false;
    this.form.querySelector("[data-left]").hidden = true;
    this.sendings.push(...files.map((file) => new Sending(this, file)));
    this.next();
  }

  next() {
    const sending = this.sendings.filter((one) => one.state === "sending").length;
    for (const one of this.sendings.filter((each) => each.state === "waiting").slice(0, TOGETHER - sending)) {
      one.state = "sending";
      one.run().then(() => this.next());
    }
    if (!this.isBusy) this.file();
  }

  async file() {
    const arrived = this.sendings.filter((one) => one.state === "arrived");
    if (!arrived.length) return this.sayRefused("");
    this.isFiling = true;
    const answer = await this.post(arrived.map((one) => one.token));
    this.isFiling = false;
    this.settle(arrived, answer);
    await this.refresh();
    return this.next();
  }

  // Files what arrived; the same tokens sent twice file nothing twice, so a lost answer is simply asked for again.
  async post(tokens) {
    const body = new FormData(this.form);
    for (const name of ["files", "photographs", "upload"]) body.delete(name);
    for (const token of tokens) body.append("upload", token);
    for (const pause of PAUSES) {
      try {
        const call = await request("POST", this.form.action, { headers: { Accept: "application/json" }, body, token: this.token });
        return JSON.parse(call.responseText);
      } catch (error) {
        if (error instanceof SignedOut) return { problem: this.words.signedOut };
        this.say(fill(this.words.lost, { sent: "100 %", all: "100 %", n: pause }));
        await new Promise((resolve) => { setTimeout(resolve, 1000 * pause); });
      }
    }
    return { problem: fill(this.words.refused, { n: 0 }) };
  }

  settle(arrived, answer) {
    for (const one of arrived) {
      const became = answer.files?.find((file) => file.key === one.token);
      if (became) {
        this.memory.forget(one.print);
        one.tell(became.outcome, became.words);
      } else one.tell("stopped", answer.problem || fill(this.words.refused, { n: 0 }), true);
    }
    this.sayRefused(answer.summary || answer.problem || "");
  }

  // What happened in a sentence, and each refused file by name, once. The server counts what reached it, no more.
  sayRefused(before) {
    const refused = this.sendings.filter((one) => one.state === "refused" && !one.isTold);
    for (const one of refused) one.isTold = true;
    const unsent = refused.filter((one) => one.isUnsent).length;
    const also = before && unsent ? fill(this.words.unsent, { n: unsent }) : "";
    if (before || refused.length) this.say([before, also, ...refused.map((one) => `${one.file.name}: ${one.part("state").textContent}`)].filter(Boolean).join(" ").trim());
  }

  // The lists of the page as they now are, from the page itself.
  async refresh() {
    try {
      const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const part of document.querySelectorAll("[data-swap]")) {
        const fresh = page.querySelector(`[data-swap="${part.dataset.swap}"]`);
        if (fresh) part.replaceWith(document.adoptNode(fresh));
      }
      const pane = page.getElementById("pane");
      if (pane && !document.getElementById("pane")) this.showPane(page, pane);
    } catch { /* the files are filed; the next look at the page shows them */ }
  }

  // The first scan of a paper opens beside its readings.
  showPane(page, pane) {
    for (const sheet of page.querySelectorAll("link[rel=stylesheet]")) {
      if (!document.querySelector(`link[href="${sheet.getAttribute("href")}"]`)) document.head.append(document.adoptNode(sheet));
    }
    document.getElementById("filed-scans").before(document.adoptNode(pane));
    for (const old of [...pane.querySelectorAll("script[src]")]) {
      const script = document.createElement("script");
      script.type = old.type;
      script.src = old.src;
      old.replaceWith(script);
    }
  }

  // After a reload: what arrived whole can be filed, the rest goes on when the same files are chosen again.
  async offer() {
    const kept = Object.entries(this.memory.all());
    if (!kept.length) return;
    const whole = [], part = [];
    for (const [print, entry] of kept) {
      const state = await this.stateOf(entry);
      if (!state) this.memory.forget(print);
      else (state.scan ? whole : part).push(entry);
    }
    if (this.sendings.length || !(whole.length + part.length)) return;
    const box = this.form.querySelector("[data-left]");
    const names = (entries) => entries.map((entry) => entry.name).join(", ");
    box.firstElementChild.textContent = [whole.length ? fill(this.words.leftWhole, { names: names(whole) }) : "", part.length ? fill(this.words.leftFiles, { names: names(part) }) : ""].join(" ").trim();
    const now = box.querySelector("[data-file-left]");
    now.hidden = !whole.length;
    now.addEventListener("click", () => this.fileLeft(whole));
    box.querySelector("[data-forget]").addEventListener("click", () => this.forget([...whole, ...part]));
    box.hidden = false;
  }

  async stateOf(entry) {
    try {
      const answer = await fetch(entry.location, { headers: { Accept: "application/json" } });
      const state = answer.ok && (await answer.json());
      return state && !state.problem ? state : null;
    } catch { return null; }
  }

  async fileLeft(whole) {
    const tokens = whole.map((entry) => entry.location.replace(/\/$/, "").split("/").pop());
    const answer = await this.post(tokens);
    if (answer.files) this.clear(whole);
    this.say([...(answer.files || []).map((one) => `${one.name}: ${one.words}`), answer.problem || ""].join(" ").trim());
    await this.refresh();
  }

  async forget(entries) {
    for (const entry of entries) request("DELETE", entry.location, { token: this.token }).catch(() => null);
    this.clear(entries);
  }

  clear(entries) {
    const gone = new Set(entries.map((entry) => entry.location));
    this.memory.change((kept) => { for (const [print, entry] of Object.entries(kept)) if (gone.has(entry.location)) delete kept[print]; });
    this.form.querySelector("[data-left]").hidden = true;
    this.form.querySelector("#drop-files").focus();
  }
}

// Cameras and clipboards call every picture the same; the time tells them apart.
function named(files, word) {
  const now = new Date();
  const two = (n) => String(n).padStart(2, "0");
  const time = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())} ${two(now.getHours())}.${two(now.getMinutes())}.${two(now.getSeconds())}`;
  const plain = /^(image|photo|blob)?\.?\w*$/i;
  return files.map((file, n) => (plain.test(file.name) ? new File([file], `${word} ${time}${n ? ` ${n + 1}` : ""}.${file.name.split(".").pop() || "png"}`, { type: file.type, lastModified: file.lastModified }) : file));
}

// Files of a drop, also those in folders.
async function filesOf(data) {
  const entries = [...data.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (!entries.some((entry) => entry.isDirectory)) return [...data.files];
  const found = [];
  const read = (reader) => new Promise((resolve, reject) => { reader.readEntries(resolve, reject); });
  const walk = async (entry) => {
    if (entry.isFile) return found.push(await new Promise((resolve, reject) => { entry.file(resolve, reject); }));
    const reader = entry.createReader();
    for (let some = await read(reader); some.length; some = await read(reader)) for (const one of some) await walk(one);
    return null;
  };
  for (const entry of entries) await walk(entry);
  return found;
}

for (const form of document.querySelectorAll("form[data-drop]")) if (form.dataset.uploads) new Drop(form);
