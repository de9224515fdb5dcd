/* Draws an area or a point with a radius into the boxes of a place. The page works without it: the boxes can be typed. */
"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const panel = document.querySelector("[data-places]");
  if (!panel) return;
  const words = panel.dataset;

  const make = (name, attributes = {}) => {
    const node = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    return node;
  };
  const button = (text, act) => {
    const node = document.createElement("button");
    node.type = "button";
    node.className = "btn s";
    node.textContent = text;
    node.addEventListener("click", act);
    return node;
  };
  /* Plain longitude and latitude, y downwards; narrowed by the latitude in view so that a square looks square. */
  const pathOf = (rings) => rings.map((ring) => "M" + ring.map(([x, y]) => `${x} ${-y}`).join("L") + "Z").join("");
  const ringsOf = (geometry) => {
    if (!geometry) return [];
    if (geometry.type === "Feature") return ringsOf(geometry.geometry);
    if (geometry.type === "FeatureCollection") return geometry.features.flatMap(ringsOf);
    if (geometry.type === "Polygon") return geometry.coordinates;
    if (geometry.type === "MultiPolygon") return geometry.coordinates.flat();
    return [];
  };
  const boxOf = (points) => {
    const xs = points.map((p) => p[0]);
    const ys = points.map((p) => p[1]);
    return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  };

  class Drawing {
    constructor(row) {
      this.row = row;
      this.area = row.querySelector("textarea");
      this.point = row.querySelector("[name$=position]");
      this.radius = row.querySelector("[name$=radius_m]");
      this.name = row.querySelector("[name$=-name]");
      this.corners = [];
      this.view = [-180, -85, 180, 85];
      this.build();
    }

    build() {
      this.root = document.createElement("div");
      this.root.className = "draw";
      this.svg = make("svg", { role: "img", "aria-label": words.mapLabel, preserveAspectRatio: "xMidYMid meet" });
      this.stretch = make("g");
      this.land = make("path", { class: "land", "fill-rule": "evenodd" });
      this.known = make("path", { class: "known" });
      this.shape = make("path", { class: "shape", "fill-rule": "evenodd" });
      this.marks = make("g");
      this.stretch.append(this.land, this.known, this.shape, this.marks);
      this.svg.append(this.stretch);
      const acts = document.createElement("div");
      acts.className = "row";
      this.told = document.createElement("span");
      this.told.className = "muted small";
      this.told.setAttribute("aria-live", "polite");
      acts.append(
        button("+", () => this.zoom(0.5)), button("−", () => this.zoom(2)),
        button(words.undo, () => { this.corners.pop(); this.write(); }),
        button(words.clear, () => { this.corners = []; this.area.value = ""; this.write(); }),
        this.told,
      );
      this.root.append(this.svg, acts);
      this.row.querySelector(".place-shape").append(this.root);
      this.listen();
      this.read();
      this.fit();
      this.draw();
      fetch(words.baseMap).then((answer) => answer.json()).then((base) => this.onLand(base));
    }

    onLand(base) {
      this.land.setAttribute("d", base.land);
      const country = document.querySelector("[name=jurisdiction], [data-places] [name=country]");
      const look = () => {
        const written = `${this.name ? this.name.value : ""} ${country ? country.value : panel.dataset.jurisdiction || ""}`;
        const code = (/\(([A-Z]{2})\)|\b([A-Z]{2})(?:-|\b)/.exec(written) || []).slice(1).find(Boolean);
        if (!this.rings.length && !this.corners.length && !this.others().length && base.boxes[code]) {
          this.view = base.boxes[code];
          this.draw();
        }
      };
      if (country) country.addEventListener("change", look);
      look();
    }

    listen() {
      let from = null;
      let moved = false;
      this.svg.addEventListener("pointerdown", (event) => { from = [event.clientX, event.clientY, [...this.view]]; moved = false; });
      this.svg.addEventListener("pointermove", (event) => {
        const at = this.degrees(event);
        this.told.textContent = at ? `${at[1].toFixed(5)}, ${at[0].toFixed(5)}` : "";
        if (!from) return;
        const dx = event.clientX - from[0];
        const dy = event.clientY - from[1];
        if (Math.abs(dx) + Math.abs(dy) < 5 && !moved) return;
        moved = true;
        const matrix = this.stretch.getScreenCTM();
        const [w, s, e, n] = from[2];
        this.view = [w - dx / matrix.a, s + dy / matrix.d, e - dx / matrix.a, n + dy / matrix.d];
        this.draw();
      });
      this.svg.addEventListener("pointerleave", () => { from = null; });
      this.svg.addEventListener("pointerup", (event) => {
        const clicked = from && !moved;
        from = null;
        if (clicked) this.add(this.degrees(event));
      });
      this.svg.addEventListener("wheel", (event) => { event.preventDefault(); this.zoom(event.deltaY < 0 ? 0.7 : 1.4, this.degrees(event)); }, { passive: false });
      for (const box of [this.area, this.point, this.radius]) box.addEventListener("change", () => { this.read(); this.fit(); this.draw(); });
    }

    degrees(event) {
      const matrix = this.stretch.getScreenCTM();
      if (!matrix) return null;
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
      return [Math.min(180, Math.max(-180, at.x)), Math.min(90, Math.max(-90, -at.y))];
    }

    add(at) {
      if (!at) return;
      if (this.radius.value.trim() && !this.corners.length) {
        this.point.value = `${at[1].toFixed(5)}, ${at[0].toFixed(5)}`;
      } else {
        this.corners.push([Number(at[0].toFixed(5)), Number(at[1].toFixed(5))]);
      }
      this.write();
    }

    write() {
      if (this.corners.length > 2) {
        this.area.value = JSON.stringify({ type: "Polygon", coordinates: [[...this.corners, this.corners[0]]] });
      } else if (this.corners.length) {
        this.area.value = "";
      }
      this.read();
      this.draw();
    }

    read() {
      this.rings = [];
      try {
        this.rings = ringsOf(JSON.parse(this.area.value));
      } catch {
        this.rings = [];
      }
      const match = /^\s*([+-]?[\d.]+)\s*[,; ]\s*([+-]?[\d.]+)\s*$/.exec(this.point.value);
      const length = /^\s*([\d.]+)\s*(km|m)?\s*$/i.exec(this.radius.value);
      if (!match) return;
      const [lat, lon] = [Number(match[1]), Number(match[2])];
      const metres = length ? Number(length[1]) * ((length[2] || "m").toLowerCase() === "km" ? 1000 : 1) : 0;
      const high = metres / 111195;
      const wide = high / Math.max(0.02, Math.cos((lat * Math.PI) / 180));
      const ring = Array.from({ length: 49 }, (_, i) => [lon + wide * Math.cos((i * Math.PI) / 24), lat + high * Math.sin((i * Math.PI) / 24)]);
      if (high) this.rings = [...this.rings, ring];
    }

    /* The areas of the other places of the paper, as lines to draw along. */
    others() {
      const areas = [...panel.querySelectorAll("[data-place] textarea")].filter((box) => box !== this.area);
      return areas.flatMap((box) => { try { return ringsOf(JSON.parse(box.value)); } catch { return []; } });
    }

    fit() {
      const points = (this.rings.length ? this.rings : this.others()).flat();
      if (!points.length) return;
      const [w, s, e, n] = boxOf(points);
      const pad = Math.max(e - w, n - s, 0.01) * 0.4;
      this.view = [w - pad, s - pad, e + pad, n + pad];
    }

    zoom(by, about) {
      const [w, s, e, n] = this.view;
      const [x, y] = about || [(w + e) / 2, (s + n) / 2];
      this.view = [x + (w - x) * by, y + (s - y) * by, x + (e - x) * by, y + (n - y) * by];
      this.draw();
    }

    draw() {
      const [w, s, e, n] = this.view;
      const narrow = Math.max(0.05, Math.cos((((s + n) / 2) * Math.PI) / 180));
      this.stretch.setAttribute("transform", `scale(${narrow} 1)`);
      this.svg.setAttribute("viewBox", `${w * narrow} ${-n} ${(e - w) * narrow} ${n - s}`);
      this.shape.setAttribute("d", pathOf(this.rings));
      this.known.setAttribute("d", pathOf(this.others()));
      this.marks.replaceChildren();
      const size = (n - s) / 70;
      for (const [x, y] of this.corners) {
        this.marks.append(make("ellipse", { class: "corner", cx: x, cy: -y, rx: size / narrow, ry: size }));
      }
    }
  }

  const offer = (row) => {
    const details = row.querySelector("details");
    const begin = () => { if (details.open && !row.dataset.drawn) { row.dataset.drawn = "1"; new Drawing(row); } };
    details.addEventListener("toggle", begin);
    begin();
  };
  panel.querySelectorAll("[data-place]").forEach(offer);
})();
