// The scale of bands under the picture: steps, their lower edges, the tick of the limit, and a mark at the value pointed at.

import { made } from "./marks.js";

const WIDE = 226;
const LETTER = 6.7; // px, as wide as a letter of the scale is on the whole
const ROOM = 36; // px for the last figure

export class Scale {
  constructor(parent, figure) {
    this.parent = parent;
    this.figure = figure;
    this.svg = made("svg", { class: "bg-scale", "aria-hidden": "true" });
    parent.append(this.svg);
  }

  of(field) {
    this.field = field;
    this.svg.replaceChildren();
    this.svg.style.display = field ? "" : "none";
    if (!field) return;
    const step = WIDE / field.edges.length;
    const tick = field.limit === null ? 0 : this.#at(field.limit);
    const words = field.limit === null ? "" : field.limitSays;
    const nameEnds = LETTER * field.name.length;
    const begins = Math.max(tick - 3, nameEnds + 12);
    const room = Math.max(this.parent.clientWidth, 200);
    // where name and limit do not stand side by side, the limit has a line of its own
    const stacked = Boolean(words) && begins + LETTER * words.length > room;
    const top = stacked ? 16 : 0;
    const x = stacked ? Math.max(0, Math.min(tick - 3, room - LETTER * words.length)) : begins;
    const widest = Math.max(WIDE + ROOM, nameEnds, words ? x + LETTER * words.length : 0);
    this.svg.setAttribute("width", Math.min(widest, room));
    this.svg.setAttribute("height", 46 + top);
    this.#label(0, 11, field.name, { class: "bg-q" });
    field.colours.forEach((colour, k) => {
      this.svg.append(made("rect", { x: k * step, y: 18 + top, width: step, height: 10, fill: colour, class: "bg-band" }));
      const middle = k > 0 && k % (field.edges.length > 12 ? 2 : 1) === 0;
      // the lowest edge is no bound: what lies under it is in the first band too
      if (middle || (k === 0 && field.edges[0] === 0)) {
        this.#label(k * step, 43 + top, this.figure(field.edges[k], 2), { "text-anchor": k ? "middle" : "start" });
      }
    });
    if (field.limit !== null) {
      this.svg.append(made("line", { x1: tick, x2: tick, y1: 14 + top, y2: 32 + top, class: "bg-limit" }));
      if (words) this.#label(x, 11 + top, words);
    }
    this.top = top;
    this.pointer = made("path", { d: "M-4 12h8l-4 6z", class: "bg-pointer", visibility: "hidden" });
    this.svg.append(this.pointer);
  }

  #label(x, y, words, more = {}) {
    const text = made("text", { x, y, ...more });
    text.textContent = words;
    this.svg.append(text);
  }

  #at(value) {
    const { edges } = this.field;
    const step = WIDE / edges.length;
    if (value <= edges[0]) return 0;
    for (let k = 1; k < edges.length; k++) {
      if (value < edges[k]) return step * (k - 1 + (value - edges[k - 1]) / (edges[k] - edges[k - 1]));
    }
    const last = edges.length - 1;
    const wide = last ? edges[last] - edges[last - 1] : 1;
    return Math.min(WIDE, step * (last + (value - edges[last]) / wide));
  }

  pointed(value) {
    if (!this.pointer) return;
    this.pointer.setAttribute("visibility", value === null ? "hidden" : "visible");
    if (value === null) return;
    this.pointer.setAttribute("transform", `translate(${this.#at(value).toFixed(1)} ${this.top})`);
  }
}
