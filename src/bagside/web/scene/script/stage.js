// The picture as a whole: what is shown, from where, and what lies under a pointer. Nothing is drawn unless something changed.

import { THREE } from "nicegui-scene";
import { fetched, normalsOf, rimOf } from "./buffers.js";
import { Canvas } from "./canvas.js";
import { Cursor } from "./cursor.js";
import { figuresOf, filled } from "./figures.js";
import { Hand } from "./hand.js";
import { Handles } from "./handles.js";
import { keyed } from "./keys.js";
import { Mapped } from "./mapped.js";
import { Marks, made } from "./marks.js";
import { NARROW, Notes } from "./notes.js";
import { Pace } from "./pace.js";
import { ON_PAPER, Printed } from "./printed.js";
import { Reading } from "./reading.js";
import { Scale } from "./scale.js";
import { Sight, dot } from "./sight.js";
import { StrokesDrawn } from "./strokes.js";
import { dress } from "./style.js";
import { SurfaceDrawn, valueAt } from "./surface.js";
import { inksAt, onThemeChange } from "./themes.js";
import { Tree } from "./tree.js";

const STILL = 120; // ms that a hand is off the picture before it is drawn finely: it may come back

export class Stage {
  // parts: stage, canvas, over, handles, notes, under, live (elements); emit(name, payload); words
  constructor(parts, words, tongue, length, emit) {
    dress();
    Object.assign(this, { parts, words, emit, length });
    this.figure = figuresOf(tongue);
    this.sight = new Sight();
    this.strokes = [];
    this.picking = false;
    this.cursor = new Cursor(this);
    this.hoverWanted = false;
    this.canvas = new Canvas(parts.canvas);
    this.pace = new Pace();
    this.scene = new THREE.Scene();
    this.camera = new THREE.OrthographicCamera();
    this.camera.matrixAutoUpdate = true;
    this.mapped = new Mapped(parts.over, this, parts.map);
    this.marks = new Marks(parts.over);
    this.extra = new Marks(parts.over);
    this.notes = new Notes(parts.notes, parts.over, this);
    this.reading = new Reading(parts.over, this);
    this.scale = new Scale(parts.under, this.figure);
    this.handles = new Handles(parts.handles, this, (item, hit, done) => this.#dragged(item, hit, done), words);
    this.hand = new Hand(parts.stage, this);
    this.printed = new Printed(this, parts.canvas, parts.over);
    this.onKey = (e) => e.target === parts.stage && keyed(e, this) && e.preventDefault();
    this.onLost = (e) => {
      e.preventDefault();
      this.lost = true;
      emit("lost", {});
    };
    this.onBack = () => {
      this.lost = false;
      emit("back", {});
      this.draw();
    };
    parts.stage.addEventListener("keydown", this.onKey);
    parts.canvas.addEventListener("webglcontextlost", this.onLost);
    parts.canvas.addEventListener("webglcontextrestored", this.onBack);
    this.sizes = new ResizeObserver(() => this.resized());
    this.sizes.observe(parts.stage);
    this.forget = onThemeChange(() => this.themed());
    this.resized();
  }

  // ---- what is shown

  async show(address, field) {
    this.asked?.abort();
    const asked = new AbortController();
    this.asked = asked;
    const begun = performance.now();
    const mesh = await fetched(address, asked.signal);
    if (asked.signal.aborted || this.over) return;
    this.#taken(mesh, address);
    this.by(field);
    this.drawn();
    this.took = performance.now() - begun;
    requestAnimationFrame(() => !this.over && this.rested());
    this.emit("ready", { address, triangles: mesh.triangles.length / 3, ms: this.took });
  }

  #taken(mesh, address) {
    this.address = address;
    this.surface?.gone();
    this.strokes.forEach((s) => s.gone());
    this.scene.clear();
    this.mapped.of(mesh, undefined);
    this.tree = null;
    const same = this.mesh && dot(this.mesh.view.out, mesh.view.out) > 0.999 && dot(this.mesh.view.right, mesh.view.right) > 0.99;
    this.mesh = mesh;
    this.surface = new SurfaceDrawn(mesh, normalsOf(mesh.positions, mesh.triangles));
    this.strokes = mesh.lines.map((line) => new StrokesDrawn(line));
    this.rim = mesh.rim ? new StrokesDrawn({ ...mesh.rim, ...rimOf(mesh.positions, mesh.triangles) }) : null;
    if (this.rim) this.strokes.unshift(this.rim);
    this.scene.add(this.surface.object, ...this.strokes.map((s) => s.object));
    this.marks.set(mesh.points);
    this.sight.of(mesh, same);
    this.reading.forget();
    this.themed();
    const idle = window.requestIdleCallback ?? ((call) => setTimeout(call, 30));
    idle(() => {
      if (this.over || this.mesh !== mesh) return;
      this.#treed();
      this.#mapped();
      // the first frame paid for what is made once; this one tells what a frame costs
      this.draw();
    });
  }

  #treed() {
    this.tree ??= new Tree(this.mesh.positions, this.mesh.triangles);
    return this.tree;
  }

  by(key) {
    if (!this.mesh) return;
    this.field = this.mesh.fields.get(key);
    this.surface.by(this.field);
    this.scale.of(this.field);
    this.reading.renewed();
    // a surface that has just come is shown first
    if (this.tree) this.#mapped();
    this.draw();
  }

  #mapped() {
    this.mapped.of(this.mesh, this.field);
  }

  mark(points) {
    this.extra.set(points);
    this.laid();
  }

  pick(on) {
    this.picking = on;
    this.parts.stage.classList.toggle("bg-picking", on);
  }

  themed() {
    const inks = this.onPaper ? ON_PAPER : inksAt(this.parts.stage);
    this.surface?.themed(inks);
    this.rim?.coloured(inks.edge);
    this.draw();
  }

  resized() {
    const root = this.parts.stage.parentElement;
    root.classList.toggle("bg-narrow", root.clientWidth < NARROW);
    const { clientWidth: w, clientHeight: h } = this.parts.stage;
    if (!w || !h || (w === this.sight.width && h === this.sight.height)) return;
    this.sight.resized(w, h, this.margins(w));
    if (this.mesh) this.scale.of(this.field);
    this.rested();
    // a canvas that changes its size is empty: it is drawn before the page is shown, not at the next frame
    this.drawn();
  }

  margins(w = this.sight.width) {
    const around = w < 500 ? 6 : 12;
    return { top: around, bottom: around, left: around, right: around };
  }

  // ---- drawing

  draw() {
    if (this.wanted || this.over) return;
    this.wanted = requestAnimationFrame(() => {
      this.wanted = 0;
      this.drawn();
    });
  }

  drawn() {
    if (!this.mesh || this.over || this.lost) return;
    this.#painted();
    this.laid();
  }

  #painted() {
    const level = this.pace.now;
    this.sight.apply(this.camera);
    this.canvas.as(this.sight.width, this.sight.height, level);
    this.surface.dotted(this.canvas.ratio);
    this.surface.wholly(level.whole);
    for (const s of [...this.strokes, ...this.mapped.strokes]) s.seenFrom(this.sight, level, this.canvas.ratio);
    const took = this.canvas.draw(this.scene, this.camera, level);
    if (this.pace.inHand) this.pace.turned(took);
    else if (this.tree) this.pace.rested(took);
  }

  // Put what stands over the picture where its place is seen; the surface itself is not drawn again.
  laid() {
    if (!this.mesh || this.over) return;
    const hidden = (place) => this.hidden(place);
    for (const one of [this.marks, this.extra, this.notes, this.handles, this.reading]) one.placed(this.sight, hidden);
  }

  // Whether the surface stands before a place, or turns its back to the eye there.
  hidden(place) {
    if (!this.tree) return false;
    const { towards } = this.sight.axes;
    const start = place.map((p, d) => p + 0.012 * this.sight.reach * towards[d]);
    return this.tree.met(start, towards, 0) !== null;
  }

  // ---- what is where

  under(x, y) {
    if (!this.mesh) return null;
    const { origin, way } = this.sight.ray(x, y);
    const hit = this.#treed().met(origin, way);
    if (!hit) return null;
    return { ...hit, place: origin.map((o, d) => o + hit.distance * way[d]) };
  }

  valueOf(hit) {
    return this.mesh ? valueAt(this.mesh, this.field, hit) : null;
  }

  partOf(hit) {
    return this.mesh.parts.find((p) => hit.triangle >= p.first && hit.triangle < p.first + p.count)?.name ?? "";
  }

  placeSaid(place) {
    const { perMm, digits, name } = this.length;
    const [x, y, z] = place.map((p) => this.figure(p * perMm, digits));
    return filled(this.words.place, { x, y, z, unit: name });
  }

  valueShown(value) {
    return value === null ? "" : this.figure(value, this.field.digits, this.field.digits) + this.field.sign;
  }

  // As it is written on the map: no more digits than the bands have, or as many as the value has.
  valueShort(value, own = false) {
    return own ? this.valueShown(value) : this.figure(value, 2) + this.field.sign;
  }

  valueSaid(value) {
    if (value === null) return this.field ? this.words.nothing : "";
    return `${this.figure(value, this.field.digits, this.field.digits)} ${this.field.spoken || this.field.sign}`.trim();
  }

  payload(hit) {
    const t = this.mesh.triangles;
    const k = 3 * hit.triangle;
    return {
      address: this.address,
      point: hit.place.map((p) => p / 1000),
      triangle: hit.triangle,
      vertices: [t[k], t[k + 1], t[k + 2]],
      weights: hit.weights,
    };
  }

  say(text) {
    clearTimeout(this.saying);
    this.saying = setTimeout(() => (this.parts.live.textContent = text), 200);
  }

  // ---- the hand

  hovered(x, y) {
    this.pointer = [x, y];
    this.hovering ||= requestAnimationFrame(() => {
      this.hovering = 0;
      if (!this.pointer || this.over) return;
      const hit = this.under(...this.pointer);
      this.reading.at(hit);
      if (this.hoverWanted && performance.now() - (this.told ?? 0) > 120) {
        this.told = performance.now();
        this.emit("hover", hit && this.payload(hit));
      }
    });
  }

  left() {
    this.pointer = null;
    this.reading.at(null);
    if (this.hoverWanted) this.emit("hover", null);
  }

  turned(dx, dy) {
    this.parts.stage.classList.add("bg-turning");
    this.#held();
    this.sight.turned(dx, dy);
    this.draw();
  }

  moved(dx, dy) {
    this.#held();
    this.sight.moved(dx, dy);
    this.draw();
  }

  zoomed(factor, x, y) {
    this.#held();
    this.sight.zoomed(factor, x, y);
    this.draw();
  }

  home() {
    this.sight.home();
    this.draw();
  }

  from(direction) {
    if (!this.mesh) return;
    this.sight.from(direction);
    this.draw();
    this.settledSoon();
  }

  // The hand is on the picture: it is drawn as finely as it can follow.
  #held() {
    clearTimeout(this.stilling);
    if (!this.pace.inHand) this.mapped.written.shown(false);
    this.pace.taken();
  }

  settled() {
    this.parts.stage.classList.remove("bg-turning");
    if (this.pace.inHand) this.#stillIn(STILL);
  }

  settledSoon() {
    this.#stillIn(2 * STILL);
  }

  #stillIn(ms) {
    clearTimeout(this.stilling);
    this.stilling = setTimeout(() => !this.over && this.#still(), ms);
  }

  #still() {
    this.pace.left();
    this.rested();
    this.draw();
  }

  // Choose anew where notes and figures stand.
  rested() {
    this.notes.place();
    this.mapped.written.shown(true);
    this.mapped.written.place();
  }

  tapped(x, y) {
    const hit = this.under(x, y);
    // what is picked gets a mark of its own; a reading that stays would stand in its way
    this.reading.fixed(this.picking ? null : hit);
    if (hit && this.picking) this.emit("pick", this.payload(hit));
  }

  #dragged(item, hit, done) {
    if (!done && performance.now() - (item.told ?? 0) < 80) return;
    item.told = performance.now();
    this.emit("drag", { key: item.key, done, ...this.payload(hit) });
  }

  gone() {
    this.over = true;
    this.asked?.abort();
    for (const timer of [this.stilling, this.saying]) clearTimeout(timer);
    cancelAnimationFrame(this.wanted);
    cancelAnimationFrame(this.hovering);
    this.sizes.disconnect();
    this.forget();
    this.hand.gone();
    this.notes.gone();
    this.printed.gone();
    this.mapped.gone();
    this.parts.stage.removeEventListener("keydown", this.onKey);
    this.parts.canvas.removeEventListener("webglcontextlost", this.onLost);
    this.parts.canvas.removeEventListener("webglcontextrestored", this.onBack);
    this.surface?.gone();
    this.strokes.forEach((s) => s.gone());
    this.canvas.gone();
  }
}

export { made };
