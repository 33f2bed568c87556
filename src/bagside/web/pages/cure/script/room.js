// Free room on a chart: where a label or a note may stand, and which leaders cross.

import { clamp } from "./numbers.js";

const GRID = 6; // px of the raster on which free room is looked for

/** What is taken on the chart: lines on a raster with running sums, letters as boxes. */
export class Room {
  constructor(left, top, right, bottom) {
    Object.assign(this, { left, top, right, bottom, boxes: [], summed: null });
    this.wide = Math.ceil((right - left) / GRID) + 1;
    this.tall = Math.ceil((bottom - top) / GRID) + 1;
    this.cells = new Float32Array(this.wide * this.tall);
  }
  line(points, weight = 1) {
    for (let k = 1; k < points.length; k++) {
      const [x0, y0] = points[k - 1];
      const [x1, y1] = points[k];
      const steps = Math.max(1, Math.ceil(Math.hypot(x1 - x0, y1 - y0) / (0.7 * GRID)));
      for (let s = 0; s <= steps; s++) {
        const i = Math.floor((x0 + ((x1 - x0) * s) / steps - this.left) / GRID);
        const j = Math.floor((y0 + ((y1 - y0) * s) / steps - this.top) / GRID);
        if (i >= 0 && j >= 0 && i < this.wide && j < this.tall) this.cells[j * this.wide + i] = weight;
      }
    }
    this.summed = null;
  }
  sums() {
    if (this.summed) return this.summed;
    const w = this.wide + 1;
    const out = new Float64Array(w * (this.tall + 1));
    for (let j = 0; j < this.tall; j++)
      for (let i = 0; i < this.wide; i++)
        out[(j + 1) * w + i + 1] = this.cells[j * this.wide + i] + out[j * w + i + 1] + out[(j + 1) * w + i] - out[j * w + i];
    this.summed = out;
    return out;
  }
  cost(l, t, r, b) {
    let out = 0;
    for (const [p, q, u, v] of this.boxes)
      out += 0.6 * Math.max(Math.min(r, u) - Math.max(l, p), 0) * Math.max(Math.min(b, v) - Math.max(t, q), 0);
    const over = Math.max(this.left - l, 0) + Math.max(this.top - t, 0) + Math.max(r - this.right, 0) + Math.max(b - this.bottom, 0);
    const s = this.sums();
    const w = this.wide + 1;
    const i0 = clamp(Math.floor((l - this.left) / GRID), 0, this.wide);
    const i1 = clamp(Math.ceil((r - this.left) / GRID), 0, this.wide);
    const j0 = clamp(Math.floor((t - this.top) / GRID), 0, this.tall);
    const j1 = clamp(Math.ceil((b - this.top) / GRID), 0, this.tall);
    return out + 40 * over + 30 * (s[j1 * w + i1] - s[j0 * w + i1] - s[j1 * w + i0] + s[j0 * w + i0]);
  }
  take(l, t, r, b) {
    this.boxes.push([l, t, r, b]);
  }
}

export const crossing = (a, b, c, d) => {
  const side = (p, q, r) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
};
