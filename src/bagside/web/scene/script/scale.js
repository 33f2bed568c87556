// The scale of bands under the picture: steps, their lower edges, the tick of the limit, and a mark at the value pointed at.

import { made } from "./marks.js";

const WIDE = 226;

export class Scale {
  constructor(parent, figure) {
    this.figure = figure;
    this.svg = made("svg", { class: "bg-scale", width: WIDE + 40, height: 46, "aria-hidden": "true" });
    parent.append(this.svg);
  }

  of(field) {
    this.field = field;
    this.svg.replaceChildren();
    this.svg.style.display = field ? "" : "none";
    if (!field) return;
    const step = WIDE / field.edges.length;
    const label = (x, y, words, more = {}) => {
      const text = made("text", { x, y, ...more });
      text.textContent = words;
      this.svg.append(text);
      return text;
    };
    label(0, 11, field.name, { class: "bg-q" });
    field.colours.forEach((colour, k) => {
      this.svg.append(made("rect", { x: k * step, y: 18, width: step, height: 10, fill: colour, class: "bg-band" }));
      const middle = k > 0 && k % (field.edges.length > 12 ? 2 : 1) === 0;
      // the lowest edge is no bound: what lies under it is in the first band too
      if (middle || (k === 0 && field.edges[0] === 0)) {
        label(k * step, 43, this.figure(field.edges[k], 2), { "text-anchor": k ? "middle" : "start" });
      }
    });
    if (field.limit !== null) {
      const x = this.#at(field.limit);
      this.svg.append(made("line", { x1: x, x2: x, y1: 14, y2: 32, class: "bg-limit" }));
      if (field.limitSays) this.#besideName(field, x);
    }
    this.pointer = made("path", { d: "M-4 12h8l-4 6z", class: "bg-pointer", visibility: "hidden" });
    this.svg.append(this.pointer);
  }

  #besideName(field, x) {
    const text = made("text", { x: x - 3, y: 11 });
    text.textContent = field.limitSays;
    this.svg.append(text);
    const nameEnds = 8 + 6.4 * field.name.length;
    if (x - 3 < nameEnds) text.setAttribute("x", nameEnds);
    this.svg.setAttribute("width", WIDE + 40 + 7 * field.limitSays.length);
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
    if (value !== null) this.pointer.setAttribute("transform", `translate(${this.#at(value).toFixed(1)} 0)`);
  }
}
