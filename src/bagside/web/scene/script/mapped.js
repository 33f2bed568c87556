// The map as lines and figures besides its colours, and as a sentence for who does not see it.

import { contours, lengthOf, levelsOf, patches } from "./contours.js";
import { filled } from "./figures.js";
import { StrokesDrawn } from "./strokes.js";
import { Written } from "./written.js";

const INK = "#10191f";
const PAPER = "#f4f7f6";
const THIN = 1; // px
const EDGE = 1.6; // px, of the limit
const SPECK = 0.04; // of the surface's reach: shorter lines are the mesh's noise, but at the limit they count
const FEWEST = 3; // triangles of a patch in which a value is written

const light = (colour) => {
  const [r, g, b] = [1, 3, 5].map((k) => parseInt(colour.slice(k, k + 2), 16) / 255);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};

export class Mapped {
  constructor(svg, stage, say) {
    Object.assign(this, { stage, say });
    this.written = new Written(svg, stage);
    this.strokes = [];
  }

  of(mesh, field) {
    this.#forgotten();
    this.field = field;
    this.say.textContent = field ? summary(mesh, field, this.stage) : "";
    if (!field) return this.written.of([], []);
    if (field.on === "triangle") return this.written.of([], this.#spots(mesh, field));
    const levels = levelsOf(field);
    const found = contours(mesh.positions, mesh.triangles, field.values, levels.map((l) => l.value / field.perSi));
    const drawn = { ink: [], paper: [], limit: [] };
    const lines = [];
    levels.forEach(({ value, band, limit }, k) => {
      const dark = light(field.colours[band - 1] ?? field.colours[0]) + light(field.colours[band] ?? INK) < 0.5;
      const text = this.stage.valueShort(field.magnitude ? Math.abs(value) : value);
      for (const { points, rooms } of found[k].lines) {
        const long = lengthOf(points);
        if (!limit && long < SPECK * this.stage.sight.reach) continue;
        if (limit) rooms.fill(Infinity); // it is always drawn
        drawn[limit ? "limit" : dark ? "paper" : "ink"].push({ points, rooms });
        lines.push({ text, points, rooms, long: limit ? Infinity : long });
      }
    });
    for (const [kind, own] of Object.entries(drawn)) if (own.length) this.#stroked(kind, own);
    // in turns, so that each value is written before one is written again
    lines.sort((a, b) => b.long - a.long);
    const times = new Map();
    for (const line of lines) {
      line.turn = times.get(line.text) ?? 0;
      times.set(line.text, line.turn + 1);
    }
    this.written.of(lines.sort((a, b) => a.turn - b.turn || b.long - a.long), []);
  }

  #stroked(kind, lines) {
    const joined = (arrays) => {
      const out = new Float32Array(arrays.reduce((sum, one) => sum + one.length, 0));
      arrays.reduce((at, one) => (out.set(one, at), at + one.length), 0);
      return out;
    };
    const stroke = new StrokesDrawn({ points: joined(lines.map((line) => line.points)), dashes: [], fine: true,
      counts: lines.map((line) => line.rooms.length), rooms: joined(lines.map((line) => line.rooms)),
      weight: kind === "limit" ? EDGE : THIN, ink: kind === "paper" ? PAPER : INK, halo: kind === "limit" });
    this.strokes.push(stroke);
    this.stage.scene.add(stroke.object);
  }

  #spots(mesh, field) {
    const band = new Int8Array(field.values.length);
    for (let t = 0; t < band.length; t++) {
      const shown = field.values[t] * field.perSi;
      const value = field.magnitude ? Math.abs(shown) : shown;
      band[t] = Number.isFinite(value) ? Math.max(0, field.edges.findLastIndex((edge) => value + 1e-6 >= edge)) : -1;
    }
    return patches(mesh.positions, mesh.triangles, (t) => band[t])
      .filter((patch) => patch.size >= FEWEST)
      .sort((a, b) => b.size - a.size)
      .map(({ triangle, at }) => {
        const shown = field.values[triangle] * field.perSi;
        return { at, text: this.stage.valueShort(field.magnitude ? Math.abs(shown) : shown, true) };
      });
  }

  #forgotten() {
    for (const stroke of this.strokes) {
      this.stage.scene.remove(stroke.object);
      stroke.gone();
    }
    this.strokes = [];
  }

  gone() {
    this.#forgotten();
  }
}

// From what to what it goes, where lines are, how much of the surface lies past the limit.
export function summary(mesh, field, { figure, words }) {
  const { positions: p, triangles: t } = mesh;
  const v = field.values;
  let [low, high, all, past] = [Infinity, -Infinity, 0, 0];
  for (let k = 0; k < t.length; k += 3) {
    const si = field.on === "triangle" ? v[k / 3] : (v[t[k]] + v[t[k + 1]] + v[t[k + 2]]) / 3;
    if (!Number.isFinite(si)) continue;
    const value = field.magnitude ? Math.abs(si * field.perSi) : si * field.perSi;
    const [a, b, c] = [3 * t[k], 3 * t[k + 1], 3 * t[k + 2]];
    const [ux, uy, uz] = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
    const [wx, wy, wz] = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
    const area = 0.5 * Math.hypot(uy * wz - uz * wy, uz * wx - ux * wz, ux * wy - uy * wx);
    low = Math.min(low, value);
    high = Math.max(high, value);
    all += area;
    if (field.limit !== null && (field.below ? value < field.limit : value > field.limit)) past += area;
  }
  if (!all) return `${field.name}: ${words.nothing}.`;
  const said = (value) => figure(value, field.digits, field.digits);
  const out = [filled(words.map_range, { name: field.name, low: said(low), high: said(high) })];
  if (field.on === "vertex") {
    const within = levelsOf(field).map((l) => l.value).filter((l) => l > low && l <= high && (l >= 0 || !field.magnitude));
    if (within.length) out.push(filled(words.map_lines, { values: within.sort((a, b) => a - b).map((l) => figure(l, 2)).join(", ") }));
  }
  if (field.limit !== null) {
    out.push(filled(words.map_past, { limit: figure(field.limit, 2), share: figure((100 * past) / all, 1) }));
  }
  return out.join(" ");
}
