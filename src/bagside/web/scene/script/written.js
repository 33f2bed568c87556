// What a map's values are, written on it: on its lines, or in its patches. Nothing stands on anything else, and nothing on a
// place that is not seen.

import { made } from "./marks.js";

const HIGH = 12; // px of the letters
const LETTER = 7; // px, as wide as a figure on the whole
const APART = 130; // px between two of the same value
const ROOM = 8; // px to the next line, that it be clear which one is meant
const MOST = 40;
const PAD = 3;

export class Written {
  constructor(svg, stage) {
    this.stage = stage;
    this.layer = made("g", { class: "bg-written" });
    svg.append(this.layer);
    this.lines = [];
    this.spots = [];
  }

  // lines: { text, points, rooms } along which a value is written where the next line is not too near; spots: { text, at } in the middle of patches, largest first
  of(lines, spots) {
    this.lines = lines;
    this.spots = spots;
    this.place();
  }

  // Choose what stands where; called when the picture has come to rest.
  place() {
    this.layer.replaceChildren();
    if (!this.stage.mesh || this.stage.sight.width < 2) return;
    const { sight } = this.stage;
    const boxes = this.#taken();
    const same = new Map();
    let count = 0;
    const free = (x, y, w, h) =>
      x - w > 0 && y - h > 0 && x + w < sight.width && y + h < sight.height &&
      !boxes.some((b) => Math.abs(b.x - x) < b.w + w + PAD && Math.abs(b.y - y) < b.h + h + PAD);
    const put = (text, place, turn) => {
      const wide = 0.5 * LETTER * text.length;
      const [c, s] = [Math.abs(Math.cos(turn)), Math.abs(Math.sin(turn))];
      const [w, h] = [wide * c + 0.5 * HIGH * s, wide * s + 0.5 * HIGH * c];
      const [x, y] = sight.seen(place);
      const others = same.get(text) ?? [];
      if (others.some((o) => Math.hypot(o[0] - x, o[1] - y) < APART) || !free(x, y, w, h)) return false;
      if (this.stage.hidden(place)) return false;
      boxes.push({ x, y, w, h });
      same.set(text, [...others, [x, y]]);
      this.#drawn(text, x, y, turn);
      count++;
      return true;
    };
    for (const { text, at } of this.spots) if (count < MOST) put(text, at, 0);
    for (const line of this.lines) {
      if (count >= MOST) break;
      this.#along(line, put);
    }
  }

  // Try places along a line, those in its middle first, where it runs straight enough for the letters.
  #along({ text, points, rooms }, put) {
    const { sight } = this.stage;
    const n = points.length / 3;
    const seen = Array.from({ length: n }, (_, k) => sight.seen(points.subarray(3 * k, 3 * k + 3)));
    const run = [0];
    for (let k = 1; k < n; k++) run.push(run[k - 1] + Math.hypot(seen[k][0] - seen[k - 1][0], seen[k][1] - seen[k - 1][1]));
    const long = LETTER * text.length + 8;
    const whole = run[n - 1];
    if (whole < 2 * long) return;
    const tries = Math.max(1, Math.min(24, Math.floor(whole / 30)));
    const order = Array.from({ length: tries }, (_, k) => (k + 0.5) / tries).sort((a, b) => Math.abs(a - 0.5) - Math.abs(b - 0.5));
    for (const share of order) {
      const middle = Math.max(0.5 * long, Math.min(whole - 0.5 * long, share * whole));
      const [a, b] = [this.#at(seen, run, middle - 0.5 * long), this.#at(seen, run, middle + 0.5 * long)];
      const straight = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (straight < 0.8 * long) continue;
      let turn = Math.atan2(b[1] - a[1], b[0] - a[0]);
      if (Math.abs(turn) > Math.PI / 2) turn -= Math.sign(turn) * Math.PI;
      const k = run.findIndex((r) => r >= middle);
      if (rooms[k] * sight.scale < ROOM) continue;
      put(text, points.subarray(3 * k, 3 * k + 3), turn);
    }
  }

  #at(seen, run, where) {
    const k = Math.max(1, run.findIndex((r) => r >= where));
    const share = (where - run[k - 1]) / (run[k] - run[k - 1] || 1);
    return [0, 1].map((d) => seen[k - 1][d] + share * (seen[k][d] - seen[k - 1][d]));
  }

  // What stands over the picture already: marks, arrows, handles, rings of notes.
  #taken() {
    const { sight, marks, extra, notes, handles } = this.stage;
    const out = [];
    const put = (place, w, h = w) => {
      const [x, y] = sight.seen(place);
      out.push({ x, y, w, h });
    };
    for (const { point } of [...marks.items, ...extra.items]) {
      put(point.at, point.words ? 22 : 14);
      if (!point.to) continue;
      for (const share of [0.25, 0.5, 0.75, 1]) put(point.at.map((a, d) => a + share * (point.to[d] - a)), 10);
    }
    for (const item of handles.items.values()) put(item.at, 14);
    for (const item of notes.items) put(item.at, 13);
    for (const { box } of notes.items) if (box) out.push({ x: box.x + box.w / 2, y: box.y + box.h / 2, w: box.w / 2, h: box.h / 2 });
    return out;
  }

  #drawn(words, x, y, turn) {
    const text = made("text", { class: "bg-iso", "text-anchor": "middle", dy: "0.35em",
      transform: `translate(${x.toFixed(1)} ${y.toFixed(1)}) rotate(${((turn * 180) / Math.PI).toFixed(1)})` });
    text.textContent = words;
    this.layer.append(text);
  }

  // While it is turned nothing is written: it would lie beside its place.
  shown(on) {
    this.layer.style.display = on ? "" : "none";
  }
}
