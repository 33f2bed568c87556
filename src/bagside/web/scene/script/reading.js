// The value and the place under the pointer, written beside it; a tap or the keyboard's cursor keeps one.

import { made } from "./marks.js";

export class Reading {
  constructor(svg, stage) {
    this.stage = stage;
    this.layer = made("g");
    this.ring = made("g", { visibility: "hidden" });
    this.ring.append(
      made("circle", { r: 7, fill: "none", stroke: "#f4f7f6", "stroke-width": 5 }),
      made("circle", { r: 7, fill: "none", stroke: "#10191f", "stroke-width": 4 }),
      made("circle", { r: 7, fill: "none", stroke: "#f8c800", "stroke-width": 2 }),
      made("path", { d: "M-14 0h9M5 0h9M0 -14v9M0 5v9", stroke: "#f4f7f6", "stroke-width": 3 }),
      made("path", { d: "M-14 0h9M5 0h9M0 -14v9M0 5v9", stroke: "#10191f", "stroke-width": 1.6 }),
    );
    this.text = made("text", { class: "bg-read", visibility: "hidden" });
    this.layer.append(this.ring, this.text);
    svg.append(this.layer);
    this.kept = null;
  }

  forget() {
    this.kept = null;
    this.hit = null;
    this.free = null;
    this.#written();
  }

  at(hit) {
    this.hit = hit;
    this.#written();
  }

  // Keep a place; `at` is where the cursor stands on the screen, which may be beside the surface.
  fixed(hit, at = null) {
    this.kept = hit;
    this.free = hit ? null : at;
    this.hit = null;
    this.#written();
  }

  renewed() {
    this.#written();
  }

  #written() {
    const hit = this.hit ?? this.kept;
    const value = hit ? this.stage.valueOf(hit) : null;
    this.stage.scale?.pointed(value);
    this.text.replaceChildren();
    this.text.setAttribute("visibility", hit ? "visible" : "hidden");
    if (hit) {
      const part = this.stage.partOf(hit);
      const head = [this.stage.valueShown(value), part].filter(Boolean).join(" · ");
      const lines = head ? [head, this.stage.placeSaid(hit.place)] : [this.stage.placeSaid(hit.place)];
      lines.forEach((line, k) => {
        const span = made("tspan", { x: 0, dy: k ? "1.3em" : 0, class: k === 0 && head ? "bg-value" : "" });
        span.textContent = line;
        this.text.append(span);
      });
    }
    this.placed(this.stage.sight, () => false);
  }

  placed(sight) {
    if (!sight.out) return;
    const ring = this.kept ? sight.seen(this.kept.place) : this.free;
    this.ring.setAttribute("visibility", ring ? "visible" : "hidden");
    if (ring) this.ring.setAttribute("transform", `translate(${ring[0].toFixed(1)} ${ring[1].toFixed(1)})`);
    const hit = this.hit ?? this.kept;
    if (!hit) return;
    const [x, y] = sight.seen(hit.place);
    const wide = this.text.getComputedTextLength ? Math.max(...[...this.text.children].map((s) => s.textContent.length * 8)) : 0;
    const left = x + 18 + wide > sight.width ? Math.max(4, x - 18 - wide) : x + 18;
    this.text.setAttribute("transform", `translate(${left.toFixed(1)} ${Math.max(18, Math.min(sight.height - 26, y - 12)).toFixed(1)})`);
  }
}
