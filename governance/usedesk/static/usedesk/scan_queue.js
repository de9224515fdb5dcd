// Codes on their way to the server: kept in this browser until the server has answered each, sent in order.
// A code has a key of its own, so that one that is sent again after a broken connection counts once.

const AT_ONCE = 20;
const LONGEST_WAIT = 30_000;

export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * What waits, in localStorage: under the request and the person, so that nobody's codes go under another's name. Each
 * line has an entry of its own, so that two pages of one request never write over each other's lines.
 */
class Store {
  constructor(request, person) {
    this.prefix = `fieldwrit-scan-${request}-`;
    this.own = `${this.prefix}${person}-`;
    this.memory = new Map(); // where the browser keeps nothing
    this.count = 0;
    this.isKept = true;
    try {
      localStorage.setItem(`${this.own}trial`, "");
      localStorage.removeItem(`${this.own}trial`);
    } catch {
      this.isKept = false; // a private window: the page says so
    }
  }

  names(prefix) {
    return this.isKept ? Object.keys(localStorage).filter((name) => name.startsWith(prefix)).sort() : [];
  }

  get lines() {
    const kept = this.names(this.own).map((name) => JSON.parse(localStorage.getItem(name)));
    return [...kept, ...this.memory.values()];
  }

  /** In the order of reading: the names sort by the time, and by a count within one thousandth of a second. */
  add(line) {
    this.count += 1;
    const name = `${this.own}${Date.now()}-${String(this.count).padStart(9, "0")}`;
    try {
      localStorage.setItem(name, JSON.stringify(line));
    } catch {
      this.memory.set(name, line); // full: what is kept stays kept
    }
  }

  remove(keys) {
    for (const name of this.names(this.own)) {
      if (keys.has(JSON.parse(localStorage.getItem(name))?.key)) localStorage.removeItem(name);
    }
    for (const [name, line] of this.memory) if (keys.has(line.key)) this.memory.delete(name);
  }

  get ofOthers() {
    return this.names(this.prefix).filter((name) => !name.startsWith(this.own)).length;
  }
}

export class Queue {
  /** on: changed(count), answered(line, answer), tally(counts), trouble(kind, words), well(). */
  constructor({ request, person, to, here, token }, on) {
    this.store = new Store(request, person);
    this.to = to;
    this.here = here;
    this.token = token;
    this.on = on;
    this.isSending = false;
    this.timer = 0;
    this.failures = 0;
    addEventListener("online", () => this.send());
    addEventListener("storage", (event) => {
      if (event.key?.startsWith(this.store.own)) this.on.changed(this.lines.length);
    });
  }

  get lines() { return this.store.lines; }
  get isKept() { return this.store.isKept && !this.store.memory.size; }
  get ofOthers() { return this.store.ofOthers; }

  add(line) {
    this.store.add(line);
    this.on.changed(this.lines.length);
    this.send();
  }

  /** Two pages of one request share the queue; only one of them sends, where the browser can tell. */
  async send() {
    if (this.isSending) return;
    this.isSending = true;
    clearTimeout(this.timer);
    try {
      if (navigator.locks) await navigator.locks.request(this.store.own, () => this.sendAll());
      else await this.sendAll();
    } finally {
      this.isSending = false;
    }
  }

  async sendAll() {
    for (let lines = this.lines; lines.length; lines = this.lines) {
      const some = lines.slice(0, AT_ONCE);
      const result = await this.post(some);
      if (!result.answers) {
        this.on.trouble(result.kind, result.words);
        if (result.kind === "offline" || result.kind === "server") this.later();
        return;
      }
      this.failures = 0;
      this.store.remove(new Set(result.answers.lines.map((answer) => answer.key)));
      this.on.well();
      for (const answer of result.answers.lines) this.on.answered(answer);
      this.on.tally(result.answers.tally);
      this.on.changed(this.lines.length);
    }
  }

  later() {
    const wait = Math.min(LONGEST_WAIT, 1000 * 2 ** this.failures);
    this.failures += 1;
    this.timer = setTimeout(() => this.send(), wait);
  }

  async post(lines, isSecondTry = false) {
    let response;
    try {
      response = await fetch(this.to, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-CSRFToken": this.token },
        body: JSON.stringify({ lines }),
        redirect: "manual",
        credentials: "same-origin",
      });
    } catch {
      return { kind: "offline" };
    }
    if (response.type === "opaqueredirect" || response.status === 401) return { kind: "signed-out" };
    if (response.status === 403) {
      if (isSecondTry) return { kind: "not-allowed" };
      const found = await this.renewed(); // signed in again elsewhere: the token of this page has aged
      return found || this.post(lines, true);
    }
    const answers = await response.json().catch(() => null);
    if (response.ok && answers) return { answers };
    if (answers && answers.error) return { kind: "refused", words: answers.error };
    return { kind: "server" };
  }

  /** Take the token of the page as it is now; null if that went well. */
  async renewed() {
    try {
      const response = await fetch(this.here, { redirect: "manual", credentials: "same-origin" });
      if (response.type === "opaqueredirect") return { kind: "signed-out" };
      if (response.status === 403) return { kind: "not-allowed" };
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      this.token = page.querySelector("[name=csrfmiddlewaretoken]").value;
      return null;
    } catch {
      return { kind: "offline" };
    }
  }
}
