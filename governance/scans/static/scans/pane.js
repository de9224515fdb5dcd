// The reading pane without loading the page anew: other pages, size, turn, marked passages, by pointer and by key.
// Everything here works without script, too, by the links of the pane; this keeps what was typed beside it.
"use strict";

const SIZES = ["fit", "width", "150", "200", "300"];
const LARGE_FROM = 2; // from 150 % on the finer picture
const SVG = "http://www.w3.org/2000/svg";

function boxesOf(text) {
  const boxes = (text || "").split(";").map((part) => part.split(",").map(Number));
  return boxes.filter((box) => box.length === 4 && box.every(Number.isFinite) && box[0] < box[2] && box[1] < box[3]);
}

// A quarter clockwise takes (x, y) to (1 - y, x).
function turned(box, turn) {
  let [left, top, right, bottom] = box;
  for (let quarter = 0; quarter < turn / 90; quarter += 1) [left, top, right, bottom] = [1 - bottom, left, 1 - top, right];
  return [left, top, right, bottom];
}

class Pane {
  constructor(root) {
    this.root = root;
    this.stage = root.querySelector(".pane-stage");
    this.sheet = root.querySelector(".pane-sheet");
    this.image = root.querySelector("[data-image]");
    this.marks = root.querySelector("[data-marks]");
    this.input = root.querySelector('input[name="page"]');
    this.scan = root.dataset.pane;
    this.first = Number(root.dataset.first);
    this.last = Number(root.dataset.last);
    this.state = {
      page: Number(root.dataset.page), turn: Number(root.dataset.turn), size: root.dataset.size, mark: root.dataset.mark,
    };
    root.dataset.live = "";
    root.addEventListener("click", (event) => this.onClick(event));
    root.addEventListener("keydown", (event) => this.onKey(event));
    root.querySelector("form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.goTo(Number(this.input.value));
    });
    this.input.addEventListener("change", () => this.goTo(Number(this.input.value)));
    this.image.addEventListener("load", () => this.settle());
    this.image.addEventListener("error", () => this.settle());
    if (this.image.complete) this.settle();
  }

  goTo(page, mark = "") {
    const wanted = Number.isFinite(page) ? Math.round(page) : this.state.page;
    const shown = Math.min(Math.max(wanted, this.first), this.last);
    this.show({ page: shown, mark: mark || (shown === this.state.page ? this.state.mark : "") });
  }

  step(by) {
    const place = SIZES.indexOf(this.state.size) + by;
    this.show({ size: SIZES[Math.min(Math.max(place, 0), SIZES.length - 1)] });
  }

  turn() {
    this.show({ turn: (this.state.turn + 90) % 360 });
  }

  show(change) {
    const before = this.state;
    this.state = { ...before, ...change };
    const { page, turn, size } = this.state;
    const source = this.sourceOf(page, turn, size);
    if (this.image.getAttribute("src") !== source) {
      this.sheet.dataset.busy = "";
      this.image.src = source;
    }
    this.sheet.dataset.size = size;
    this.drawMarks();
    this.tell(page !== before.page);
    if (page !== before.page) this.stage.scrollTo(0, 0);
    if (this.image.complete) this.settle();
    window.history.replaceState(window.history.state, "", this.addressOf({}));
  }

  sourceOf(page, turn, size) {
    const width = SIZES.indexOf(size) >= LARGE_FROM ? 1600 : 900;
    const address = this.root.dataset.picture.replace("/0.png", `/${page}.png`);
    return `${address}?width=${width}${turn ? `&turn=${turn}` : ""}`;
  }

  addressOf(change) {
    const { page, turn, size, mark } = { ...this.state, ...change };
    const address = new URL(window.location.href);
    for (const [name, value] of Object.entries({ page, turn, size })) address.searchParams.set(name, value);
    address.searchParams.delete("mark");
    if (mark && page === this.state.page) address.searchParams.set("mark", mark);
    address.hash = "";
    return address.href;
  }

  drawMarks() {
    const rectangles = boxesOf(this.state.mark).map((box) => {
      const [left, top, right, bottom] = turned(box, this.state.turn);
      const drawn = document.createElementNS(SVG, "rect");
      const sides = { x: left, y: top, width: right - left, height: bottom - top };
      for (const [name, side] of Object.entries(sides)) drawn.setAttribute(name, `${(100 * side).toFixed(2)}%`);
      return drawn;
    });
    this.marks.replaceChildren(...rectangles);
  }

  tell(isOtherPage) {
    const { page, size } = this.state;
    const { words, wordsRange, count } = this.root.dataset;
    const told = words.replace("%n", page).replace("%count", count);
    const inRange = wordsRange ? wordsRange.replace("%n", page - this.first + 1) : "";
    this.image.alt = told;
    this.input.value = page;
    const range = this.root.querySelector("[data-range]");
    if (range) range.textContent = inRange;
    if (isOtherPage) this.root.querySelector("[data-told]").textContent = inRange ? `${told}, ${inRange}` : told;
    const ends = {
      previous: page === this.first, next: page === this.last,
      smaller: size === SIZES[0], larger: size === SIZES[SIZES.length - 1],
    };
    for (const [name, isEnd] of Object.entries(ends)) this.setEnd(name, isEnd);
    for (const thumb of this.root.querySelectorAll("[data-thumb]")) this.pointOut(thumb, Number(thumb.dataset.thumb) === page);
  }

  setEnd(name, isEnd) {
    const control = this.root.querySelector(`[data-do="${name}"]`);
    if (isEnd) control.setAttribute("aria-disabled", "true");
    else control.removeAttribute("aria-disabled");
  }

  pointOut(thumb, isShown) {
    if (!isShown) {
      thumb.removeAttribute("aria-current");
      return;
    }
    thumb.setAttribute("aria-current", "page");
    // Not scrollIntoView: it would move the page under the form, too.
    const list = thumb.parentElement;
    const top = thumb.offsetTop - list.offsetTop;
    if (top < list.scrollTop || top + thumb.offsetHeight > list.scrollTop + list.clientHeight) {
      list.scrollTop = top - list.clientHeight / 2;
    }
  }

  // Once the picture is there: brings the marked passage into view within the pane.
  settle() {
    delete this.sheet.dataset.busy;
    const first = this.marks.querySelector("rect");
    if (!first) return;
    const [passage, view] = [first.getBoundingClientRect(), this.stage.getBoundingClientRect()];
    if (passage.top < view.top || passage.bottom > view.bottom || passage.left < view.left || passage.right > view.right) {
      this.stage.scrollBy(passage.left - view.left - view.width / 3, passage.top - view.top - view.height / 3);
    }
  }

  onClick(event) {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return; // a link opened beside
    const thumb = event.target.closest("[data-thumb]");
    const control = event.target.closest("[data-do]");
    if (!thumb && !control) return;
    event.preventDefault();
    if (thumb) this.goTo(Number(thumb.dataset.thumb));
    else if (control.getAttribute("aria-disabled") !== "true") this.act(control.dataset.do);
  }

  act(name) {
    const acts = {
      previous: () => this.goTo(this.state.page - 1), next: () => this.goTo(this.state.page + 1),
      smaller: () => this.step(-1), larger: () => this.step(1),
      fit: () => this.show({ size: "fit" }), turn: () => this.turn(),
      first: () => this.goTo(this.first), last: () => this.goTo(this.last),
    };
    acts[name]();
  }

  onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("input")) return;
    const act = this.actOf(event.key);
    if (!act) return;
    event.preventDefault();
    this.act(act);
  }

  actOf(key) {
    const acts = {
      PageUp: "previous", PageDown: "next", "+": "larger", "=": "larger", "-": "smaller", 0: "fit", r: "turn", R: "turn",
    };
    const isOnStage = document.activeElement === this.stage;
    if (isOnStage && (key === "Home" || key === "End")) return key === "Home" ? "first" : "last";
    // Sideways a page that is wider than the pane is moved, any other turned.
    if (isOnStage && this.stage.scrollWidth <= this.stage.clientWidth + 1) {
      if (key === "ArrowLeft") return "previous";
      if (key === "ArrowRight") return "next";
    }
    return acts[key];
  }
}

const panes = [...document.querySelectorAll("[data-pane]:not([data-live])")].map((root) => new Pane(root));

// Anything on the page that points to a passage shows it in the pane.
document.addEventListener("click", (event) => {
  const pointer = event.target.closest("[data-pane-page]");
  if (!pointer || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const wanted = pointer.dataset.paneScan;
  const pane = panes.find((candidate) => !wanted || candidate.scan === wanted);
  const page = Number(pointer.dataset.panePage);
  if (!pane || page < pane.first || page > pane.last) return; // its link leads there
  event.preventDefault();
  pane.goTo(page, pointer.dataset.paneMark);
  if (pane.root.getBoundingClientRect().bottom < 80) pane.root.scrollIntoView({ block: "start" });
});
