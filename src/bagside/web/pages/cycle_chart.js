// The chart of a cure: drawn here from arrays, its programme dragged by yellow squares.
//
// Line is computed, ring and tick are measured, dashes are from the log, hatch may not be entered; leading and lagging
// are one filled band, the degree of cure a quiet hill on the right axis. While a square is held the curves follow: one
// question is under way at a time, and the last one asked is answered last.

const GRID = 6; // px of the raster on which free room is looked for
const REACH = 22; // px round a square in which it is taken hold of
const MINUTE = 60;
const ZERO = 273.15;

const escaped = (s) => String(s).replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c]);
const clamp = (v, a, b) => Math.min(Math.max(v, a), b);

/** What is taken on the chart: lines on a raster with running sums, letters as boxes. */
class Room {
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

const crossing = (a, b, c, d) => {
  const side = (p, q, r) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
};

export default {
  template: `
    <div class="cycle" :class="{ over: over, small: small }" ref="root" @dragover="dragOver" @dragleave="over = false"
         @drop="dropped">
      <svg ref="svg" :viewBox="'0 0 ' + wide + ' ' + tall" :width="wide" :height="tall" role="group" :aria-label="label"
           @pointerdown="down" @pointermove="moved" @pointerup="up" @pointercancel="cancel">
        <g aria-hidden="true" v-html="paint"></g>
        <g aria-hidden="true" v-html="inHand"></g>
        <g v-if="can" v-for="g in grips" :key="g.key" class="grip" :class="{ held: held === g.key }" tabindex="0"
           role="slider" :aria-label="g.label" :aria-valuetext="g.says" :aria-valuenow="g.now" aria-valuemin="0"
           :aria-valuemax="g.most" :data-grip="g.key" @keydown="key($event, g)" @blur="commit"
           :transform="'translate(' + g.x + ' ' + g.y + ')'">
          <rect class="reach" x="-22" y="-22" width="44" height="44"></rect>
          <rect class="square" x="-7" y="-7" width="14" height="14"></rect>
        </g>
      </svg>
      <ol v-if="small && shown && shown.notes.length" class="cycle-notes">
        <li v-for="n in shown.notes" :class="n.weight"><b>{{ n.head }}</b> {{ n.text }}</li>
      </ol>
      <p v-if="over" class="cycle-drop">{{ words.drop }}</p>
      <p v-if="trouble" class="cycle-trouble b" role="alert">{{ trouble }}</p>
      <p class="cycle-said" role="status" aria-live="polite">{{ said }}</p>
    </div>`,
  props: {
    label: String,
    shown: Object,
    log: Object,
    can: Boolean,
    clock: Object,
    heat: String,
    decimal: String,
    words: Object,
    limits: Object,
    upload: String,
  },
  emits: ["move", "settle"],
  data() {
    return { wide: 1000, tall: 480, small: false, segs: [], held: "", over: false, said: "", trouble: "", fonts: 0, frame: null };
  },
  created() {
    Object.assign(this, { asked: 0, answered: 0, under: 0, since: new Map(), dirty: false, later: null, ghost: null });
    this.take();
  },
  mounted() {
    this.watcher = new ResizeObserver(() => this.sized());
    this.watcher.observe(this.$refs.root);
    this.sized();
    document.fonts?.ready.then(() => this.fonts++);
  },
  unmounted() {
    this.watcher?.disconnect();
    clearTimeout(this.later);
  },
  watch: {
    shown(now) {
      if (now && now.seq) {
        const begun = this.since.get(now.seq);
        if (begun !== undefined) {
          this.since.clear();
          this.answered = now.seq;
          this.$refs.root.dataset.answer = (performance.now() - begun).toFixed(1);
        }
        this.under = 0;
        if (this.dirty && this.asked > now.seq) this.ask();
      }
      if (this.held || this.dirty) return;
      if (this.settled && Date.now() < this.settled.until && !this.alike(now?.segments ?? [], this.settled.segs)) return;
      this.settled = null;
      this.take();
    },
  },
  computed: {
    ends() {
      const s = this.shown;
      if (this.frame) return this.frame; // the paper does not move under the hand
      if (!s) return { t: 3600, low: 0, high: 100 };
      const corners = this.corners;
      let t = Math.max(s.duration, corners[corners.length - 1][0], s.time[s.time.length - 1]);
      let low = s.start;
      let high = s.start + 40;
      for (const [, c] of corners) high = Math.max(high, c);
      for (const name of ["leading", "lagging", "tg"]) for (const v of s[name]) high = Math.max(high, v);
      for (const b of s.bounds) if (b.edge.length === 2) high = Math.max(high, b.edge[0] + 9);
      for (const line of this.log?.lines ?? []) {
        if (line.time.length) t = Math.max(t, line.time[line.time.length - 1]);
        for (const v of line.values) if (v !== null) ((high = Math.max(high, v)), (low = Math.min(low, v)));
      }
      const step = this.heat === "fahrenheit" ? 20 / 1.8 : 10;
      const zero = this.heat === "fahrenheit" ? ZERO - 32 / 1.8 : ZERO;
      low = zero + step * Math.floor((low - zero - 4) / step);
      high = zero + step * Math.ceil((high - zero + 3) / step);
      return { t, low, high };
    },
    box() {
      return { left: 46, right: this.wide - (this.small ? 30 : 40), top: 12, bottom: this.tall - (this.small ? 26 : 62) };
    },
    corners() {
      const out = [[0, this.shown?.start ?? 293]];
      this.segs.forEach(([target, ramp, hold], k) => {
        const [t, c] = out[out.length - 1];
        const rise = Math.abs(target - c) / ramp;
        out.push([t + rise, target, k, "rise"]);
        if (hold > 0) out.push([t + rise + hold, target, k, "hold"]);
      });
      return out;
    },
    grips() {
      const seen = this.corners.slice(1).filter(([t]) => t <= this.ends.t * 1.001);
      return seen.map(([t, c, k, end]) => ({
        key: `${k}-${end}`,
        k,
        end,
        x: this.x(t),
        y: this.y(c),
        label: this.words[end === "rise" ? "grip_rise" : "grip_hold"].replace("{n}", k + 1),
        says: `${this.degrees(c, 1)}, ${this.words.after.replace("{t}", this.duration(t))}`,
        now: Math.round(c - ZERO),
        most: Math.round(this.limits.hottest - ZERO),
      }));
    },
    handSays() {
      const grip = this.grips.find((g) => g.key === this.held);
      if (!grip) return null;
      const [, ramp, hold] = this.segs[grip.k];
      const says = `${this.rate(ramp)} · ${this.words.hold} ${this.duration(hold)}`;
      const w = this.width(says, 13, true);
      const x = clamp(grip.x - w / 2, this.box.left + 4, this.box.right - w - 4);
      return { says, w, x, y: grip.y > this.box.top + 40 ? grip.y - 18 : grip.y + 30 };
    },
    paint() {
      void this.fonts;
      return this.shown ? this.painted() : "";
    },
    inHand() {
      const grip = this.grips.find((g) => g.key === this.held);
      if (!grip) return "";
      const { left, bottom } = this.box;
      const target = this.segs[grip.k][0];
      const at = this.corners.find((c) => c[2] === grip.k && c[3] === grip.end);
      const out = [];
      if (this.ghost) out.push(`<path d="${this.path(this.ghost)}" class="ghost"/>`);
      out.push(`<path d="M${left} ${grip.y}H${grip.x}V${bottom}" class="cross"/>`);
      const tag = (x, y, text, anchor) => {
        const w = this.width(text, 12) + 8;
        const l = anchor === "end" ? x - w : x - w / 2;
        return `<rect x="${l}" y="${y - 13}" width="${w}" height="18" class="tag"/><text x="${l + 4}" y="${y}" class="tag-text">${escaped(text)}</text>`;
      };
      out.push(tag(left - 2, grip.y + 4, this.degrees(target, 0), "end"), tag(grip.x, bottom + 16, this.moment(at[0]), "middle"));
      const hand = this.handSays;
      out.push(`<text x="${hand.x}" y="${hand.y}" class="hand">${escaped(hand.says)}</text>`);
      return out.join("");
    },
  },
  methods: {
    // --- the hand
    take() {
      this.segs = (this.shown?.segments ?? []).map((s) => [...s]);
      this.frame = null;
      this.ghost = null;
    },
    sized() {
      const wide = Math.max(300, Math.floor(this.$refs.root.clientWidth));
      this.wide = wide;
      this.small = wide < 700;
      this.tall = wide >= 1100 ? 500 : wide >= 700 ? 420 : 300;
    },
    place(event) {
      const r = this.$refs.svg.getBoundingClientRect();
      return [((event.clientX - r.left) * this.wide) / r.width, ((event.clientY - r.top) * this.tall) / r.height];
    },
    down(event) {
      if (!this.can || event.button) return;
      const [x, y] = this.place(event);
      let best = null;
      for (const g of this.grips) {
        const far = Math.max(Math.abs(g.x - x), Math.abs(g.y - y));
        if (far <= REACH && (!best || far < best.far)) best = { far, g };
      }
      if (!best) return;
      event.preventDefault();
      this.$refs.svg.setPointerCapture(event.pointerId);
      this.begin(best.g);
      this.off = [x - best.g.x, y - best.g.y];
      this.$refs.svg.querySelector(`[data-grip="${best.g.key}"]`)?.focus({ preventScroll: true });
    },
    begin(grip) {
      this.frame = { ...this.ends };
      if (!this.ghost) this.ghost = this.corners.map(([t, c]) => [t, c]);
      this.held = grip.key;
    },
    moved(event) {
      if (!this.held || !this.off) return;
      const [x, y] = this.place(event);
      const { left, right, top, bottom } = this.box;
      const { t, low, high } = this.ends;
      const time = ((x - this.off[0] - left) / (right - left)) * t;
      const kelvin = low + ((bottom - (y - this.off[1])) / (bottom - top)) * (high - low);
      this.set(this.held, time, kelvin);
    },
    up() {
      if (!this.held) return;
      this.held = "";
      this.off = null;
      this.frame = null;
      this.commit();
    },
    cancel() {
      this.held = "";
      this.off = null;
      this.dirty = false;
      this.take();
    },
    set(key, time, kelvin) {
      const grip = this.grips.find((g) => g.key === key);
      const at = this.corners.findIndex((c) => c[2] === grip.k && c[3] === grip.end);
      const seg = this.segs[grip.k];
      const before = this.corners[this.corners.findIndex((c) => c[2] === grip.k) - 1];
      const unit = this.heat === "fahrenheit" ? 1 / 1.8 : 1;
      const zero = this.heat === "fahrenheit" ? ZERO - 32 / 1.8 : ZERO;
      const top = this.frame ? Math.min(this.limits.hottest, this.frame.high) : this.limits.hottest;
      const target = clamp(zero + unit * Math.round((kelvin - zero) / unit), this.limits.coldest, top);
      const latest = this.frame ? this.frame.t : Infinity;
      const minutes = MINUTE * Math.round(Math.min(time, latest) / MINUTE);
      const next = [...seg];
      const rise = Math.abs(seg[0] - before[1]) / seg[1];
      if (grip.end === "rise") {
        const takes = Math.max(minutes - MINUTE * Math.round(before[0] / MINUTE), MINUTE);
        const change = Math.abs(target - before[1]);
        if (change > 1e-6) {
          const fastest = target > before[1] ? this.limits.heating : this.limits.cooling;
          next[1] = Math.min(change / Math.max(takes, 1), fastest);
          next[0] = target;
        }
      } else {
        next[2] = Math.max(MINUTE * Math.round((minutes - (this.corners[at - 1]?.[0] ?? 0)) / MINUTE), 0);
        if (Math.abs(target - before[1]) > 1e-6) {
          next[0] = target;
          if (rise > 0) next[1] = seg[1];
        }
      }
      if (next.every((v, k) => Math.abs(v - seg[k]) < 1e-12)) return;
      this.segs.splice(grip.k, 1, next);
      this.dirty = true;
      if (grip.end === "hold" && !(next[2] > 0)) this.held = this.held && `${grip.k}-rise`;
      this.ask();
    },
    key(event, grip) {
      const step = event.shiftKey ? 10 : 1;
      const degree = this.heat === "fahrenheit" ? 1 / 1.8 : 1;
      const [dt, dc] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key] ?? [0, 0];
      if (event.key === "Escape" && (this.dirty || this.held)) {
        event.preventDefault();
        clearTimeout(this.later);
        this.cancel();
        this.$emit("move", { seq: ++this.asked, segments: this.segs });
        return;
      }
      if (event.key === "Enter") return this.commit();
      if (!dt && !dc) return;
      event.preventDefault();
      if (!this.ghost) this.ghost = this.corners.map(([t, c]) => [t, c]);
      const at = this.corners.find((c) => c[2] === grip.k && c[3] === grip.end);
      this.set(grip.key, at[0] + dt * step * MINUTE, at[1] + dc * step * degree);
      const now = this.grips.find((g) => g.key === grip.key);
      this.said = now ? now.says : "";
      clearTimeout(this.later);
      this.later = setTimeout(() => this.commit(), 1200);
    },
    ask() {
      this.asked++;
      if (this.under) return; // the answer under way asks again
      this.under = this.asked;
      this.since.set(this.asked, performance.now());
      this.$emit("move", { seq: this.asked, segments: this.segs });
    },
    commit() {
      clearTimeout(this.later);
      if (!this.dirty || this.held) return;
      this.dirty = false;
      this.ghost = null;
      this.settled = { segs: this.segs.map((s) => [...s]), until: Date.now() + 4000 };
      this.$emit("settle", { segments: this.segs });
    },
    alike(one, other) {
      const near = [0.06, 1e-5, 31];
      return one.length === other.length && one.every((s, k) => s.every((v, i) => Math.abs(v - other[k][i]) <= near[i]));
    },
    again() {
      // what was set was refused: back to what stands
      this.dirty = false;
      this.settled = null;
      this.under = 0;
      this.take();
    },
    // --- files
    dragOver(event) {
      if (!this.upload || ![...event.dataTransfer.types].includes("Files")) return;
      event.preventDefault();
      this.over = true;
    },
    async dropped(event) {
      this.over = false;
      const file = event.dataTransfer.files[0];
      if (!this.upload || !file) return;
      event.preventDefault();
      this.trouble = "";
      this.said = this.words.sending.replace("{name}", file.name);
      try {
        const answer = await fetch(this.upload, {
          method: "POST",
          body: file,
          headers: { "X-Name": encodeURIComponent(file.name), "Content-Type": "application/octet-stream" },
        });
        const told = await answer.json();
        if (!answer.ok) this.trouble = told.says || (told.problems ?? []).map((p) => p.wanted).join(" ") || this.words.not_sent;
      } catch {
        this.trouble = this.words.not_sent;
      }
      this.said = "";
    },
    // --- numbers
    degrees(kelvin, digits) {
      return this.heat === "fahrenheit"
        ? `${this.number(1.8 * (kelvin - ZERO) + 32, digits)} °F`
        : `${this.number(kelvin - ZERO, digits)} °C`;
    },
    rate(perSecond) {
      const f = this.heat === "fahrenheit" ? 1.8 : 1;
      const v = 60 * f * perSecond;
      return `${this.number(v, v < 0.95 ? 2 : 1)} ${this.heat === "fahrenheit" ? "°F" : "°"}/min`;
    },
    number(value, digits) {
      const text = Math.abs(value).toFixed(digits);
      const rounded = Number(text) === 0 ? text : (value < 0 ? "\u2212" : "") + text;
      return rounded.replace(".", this.decimal);
    },
    duration(seconds) {
      const minutes = Math.round(seconds / 60);
      if (minutes < 60) return `${minutes} min`;
      return minutes % 60 ? `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}` : `${minutes / 60} h`;
    },
    moment(t) {
      if (!this.clock) return this.duration(t);
      const minutes = Math.round((this.clock.begins + t) / 60);
      return `${String(Math.floor(minutes / 60) % 24).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
    },
    // --- drawing
    x(t) {
      return this.box.left + ((this.box.right - this.box.left) * t) / this.ends.t;
    },
    y(kelvin) {
      const { low, high } = this.ends;
      return this.box.bottom - ((this.box.bottom - this.box.top) * (kelvin - low)) / (high - low);
    },
    hill(cure) {
      return this.box.bottom - 0.62 * (this.box.bottom - this.box.top) * cure;
    },
    px(times, values, to) {
      const out = [];
      for (let k = 0; k < times.length; k++) if (values[k] !== null) out.push([this.x(times[k]), to(values[k])]);
      return out;
    },
    path(corners) {
      return this.d(corners.map(([t, c]) => [this.x(t), this.y(c)]));
    },
    d(points) {
      return points.map(([a, b], k) => `${k ? "L" : "M"}${a.toFixed(1)} ${b.toFixed(1)}`).join("");
    },
    width(text, size, bold = false) {
      this.$options.pen ??= document.createElement("canvas").getContext("2d");
      this.$options.pen.font = `${bold ? 700 : 400} ${size}px B612, "DejaVu Sans", sans-serif`;
      return this.$options.pen.measureText(text).width;
    },
    wrapped(text, size, most, bold = false) {
      const lines = [];
      let line = "";
      for (const word of text.split(/[ \n]+/)) {
        const longer = line ? `${line} ${word}` : word;
        if (line && this.width(longer, size, bold) > most) (lines.push(line), (line = word));
        else line = longer;
      }
      if (line) lines.push(line);
      return lines;
    },
    painted() {
      const s = this.shown;
      const { left, right, top, bottom } = this.box;
      const room = new Room(left, top, right, bottom);
      const out = [
        `<defs><pattern id="no-go" patternUnits="userSpaceOnUse" width="7" height="7" patternTransform="rotate(45)"><path d="M0 0H0V7" class="hatch"/></pattern>` +
          `<clipPath id="plot"><rect x="${left}" y="${top}" width="${right - left}" height="${bottom - top}"/></clipPath></defs>`,
      ];
      const hill = this.px(s.time, s.cure, (a) => this.hill(a));
      const lead = this.px(s.time, s.leading, (k) => this.y(k));
      const lag = this.px(s.time, s.lagging, (k) => this.y(k));
      const air = this.px(s.time, s.air, (k) => this.y(k));
      const tg = this.px(s.time, s.tg, (k) => this.y(k)).filter(([, y]) => y <= bottom);
      const set = this.corners.map(([t, c]) => [this.x(t), this.y(c)]);
      const late = [hill[hill.length - 1][0], bottom];
      out.push(`<path d="${this.d(hill)}L${late.join(" ")}L${hill[0][0]} ${bottom}Z" class="hill"/>`);
      out.push(...this.axes(left, right, top, bottom));
      const edges = [];
      for (const b of s.bounds) {
        const edge = b.times.map((t, k) => [this.x(Math.min(t, this.ends.t)), clamp(this.y(b.edge[k]), top, bottom)]);
        if (b.edge.length === 2 && b.times[1] >= s.duration - 1) edge[1][0] = right;
        if (edge.every(([, y]) => y <= top + 1)) continue;
        out.push(`<path d="${this.d(edge)}L${edge[edge.length - 1][0]} ${top}L${edge[0][0]} ${top}Z" class="keep-out"/>`);
        out.push(`<path d="${this.d(edge)}" class="edge"/>`);
        room.line(edge);
        edges.push([b, edge]);
      }
      out.push(`<g clip-path="url(#plot)">`);
      out.push(`<path d="${this.d(lead)}${this.d([...lag].reverse()).replace("M", "L")}Z" class="band"/>`);
      out.push(`<path d="${this.d(hill)}" class="cure"/><path d="${this.d(air)}" class="air"/>`);
      if (tg.length > 1) out.push(`<path d="${this.d(tg)}" class="tg"/>`);
      out.push(`<path d="${this.d(lead)}" class="lead"/><path d="${this.d(lag)}" class="lag"/>`);
      out.push(`<path d="${this.d(set)}" class="set"/></g>`);
      for (const line of [hill, lead, lag, set, tg]) if (line.length > 1) room.line(line);
      room.line(air, 0.5);
      const hand = this.handSays;
      if (hand) room.take(hand.x - 4, hand.y - 14, hand.x + hand.w + 4, hand.y + 6);
      for (const [x, y] of set.slice(1)) room.take(x - 12, y - 12, x + 12, y + 12);
      out.push(...this.measured(room));
      if (s.gel) {
        const x = this.x(s.gel[0]);
        const y = this.hill(s.gel[1]);
        out.push(`<path d="M${x} ${y}V${bottom}" class="thin cloth"/><circle cx="${x}" cy="${y}" r="3.6" class="ring cloth"/>`);
        room.line([[x, y], [x, bottom]]);
      }
      out.push(...this.named(room, { lead, lag, air, tg, hill, set, edges }));
      out.push(...(this.small ? this.rings() : this.noted(room)));
      if (!this.small) out.push(...this.segments(bottom));
      return out.join("");
    },
    axes(left, right, top, bottom) {
      const { t, low, high } = this.ends;
      const out = [];
      const f = this.heat === "fahrenheit";
      const shown = (k) => (f ? 1.8 * (k - ZERO) + 32 : k - ZERO);
      const back = (v) => (f ? (v - 32) / 1.8 + ZERO : v + ZERO);
      const step = (high - low) * (f ? 1.8 : 1) > (f ? 260 : 150) || this.small ? (f ? 80 : 40) : f ? 40 : 20;
      const first = step * Math.ceil(shown(low) / step - 1e-9);
      for (let v = first; v <= shown(high) + 1e-9; v += step) {
        const y = this.y(back(v));
        out.push(`<path d="M${left} ${y}H${right}" class="hair"/>`);
        const last = v + step > shown(high) + 1e-9;
        out.push(`<text x="${left - 6}" y="${y + 4}" class="tick" text-anchor="end">${this.number(v, 0)}${last ? (f ? " °F" : " °C") : ""}</text>`);
      }
      out.push(`<path d="M${left} ${bottom}H${right}" class="axis"/>`);
      const begins = this.clock?.begins ?? 0;
      const hours = [0.25, 0.5, 1, 2, 3, 6, 12, 24].find((h) => ((right - left) * h * 3600) / t >= (this.small ? 52 : 58)) ?? 24;
      for (let k = Math.ceil(begins / (hours * 3600) - 1e-9); k * hours * 3600 - begins <= t + 1; k++) {
        const at = k * hours * 3600 - begins;
        const x = this.x(at);
        out.push(`<path d="M${x} ${bottom}v5" class="axis"/>`);
        if (this.clock && at > 60 && x < left + 42) continue; // the moment heat comes on stands there
        const midnight = this.clock && (begins + at) % 86400 === 0;
        const words = this.clock ? (midnight ? (this.clock.days[Math.round((begins + at) / 86400)] ?? this.moment(at)) : this.moment(at)) : this.duration(at);
        out.push(`<text x="${x}" y="${bottom + 18}" class="tick${midnight ? " b" : ""}" text-anchor="middle">${escaped(words)}</text>`);
      }
      if (this.clock) {
        out.push(`<path d="M${left} ${bottom}v5" class="axis"/><text x="${left}" y="${bottom + 18}" class="tick" text-anchor="middle">${this.moment(0)}</text>`);
      }
      for (const a of [0.2, 0.4, 0.6, 0.8, 1]) {
        const y = this.hill(a);
        out.push(`<path d="M${right} ${y}h4" class="thin cloth"/><text x="${right + 7}" y="${y + 4}" class="tick cloth">${this.number(a, 1)}</text>`);
      }
      out.push(`<text x="${right + 34}" y="${this.hill(1) - 12}" class="tick cloth" text-anchor="end">${escaped(this.words.cured)}</text>`);
      return out;
    },
    measured(room) {
      const out = [];
      for (const line of this.log?.lines ?? []) {
        let last = -99;
        const marks = [];
        const seen = [];
        for (let k = 0; k < line.time.length; k++) {
          if (line.values[k] === null) continue;
          const x = this.x(line.time[k]);
          const y = this.y(line.values[k]);
          seen.push([x, y]);
          if (x - last < 11) continue;
          last = x;
          marks.push(line.kind === "air" ? `<path d="M${(x - 3).toFixed(1)} ${y.toFixed(1)}h6" class="read"/>` : `<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="2.2" class="ring read"/>`);
        }
        out.push(`<g class="m-${escaped(line.kind)}">${marks.join("")}</g>`);
        room.line(seen, 0.5);
        line.px = seen;
      }
      const cure = this.log?.cure;
      if (cure) {
        const points = this.px(cure.time, cure.values, (a) => this.hill(a));
        out.push(`<path d="${this.d(points)}" class="from-log"/>`);
        room.line(points, 0.5);
      }
      return out;
    },
    put(room, text, points, { cls = "", bold = false, size = 13, gap = 5, above = false } = {}) {
      if (!points.length) return "";
      const w = this.width(text, size, bold);
      let best = null;
      const n = Math.min(points.length, 40);
      for (let q = 0; q < n; q++) {
        const [x, y] = points[Math.round((q * (points.length - 1)) / Math.max(n - 1, 1))];
        for (const g of [gap, gap + 5, gap + 12])
          for (const [l, b] of above
            ? [[x, y - g], [x - w / 2, y - g]]
            : [[x + g, y - g], [x + g, y + g + 9], [x - w - g, y - g], [x - w - g, y + g + 9], [x - w / 2, y - g - 2], [x - w / 2, y + g + 11]]) {
            const cost = room.cost(l - 2, b - size + 1, l + w + 2, b + 4) + g;
            if (!best || cost < best.cost) best = { cost, l, b };
          }
      }
      room.take(best.l - 3, best.b - size, best.l + w + 3, best.b + 5);
      return `<text x="${best.l.toFixed(1)}" y="${best.b.toFixed(1)}" class="name ${cls}${bold ? " b" : ""}">${escaped(text)}</text>`;
    },
    named(room, lines) {
      const s = this.shown;
      const w = this.words;
      const part = (points, a, b) => points.slice(Math.floor(a * (points.length - 1)), Math.ceil(b * (points.length - 1)) + 1);
      const out = [];
      for (const [b, edge] of lines.edges) {
        const dense = [];
        const [p, q] = [edge[0], edge[edge.length - 1]];
        if (edge.length === 2) for (let k = 0; k <= 30; k++) dense.push([p[0] + 6 + ((q[0] - p[0] - 12) * k) / 30, p[1]]);
        else dense.push(...edge.slice(Math.floor(edge.length / 3)));
        const words = this.small ? b.short : b.says;
        out.push(this.put(room, words, dense, { cls: "on-hatch", above: edge.length === 2, size: this.small ? 12 : 13 }));
      }
      if (s.gel) {
        const x = this.x(s.gel[0]);
        const y = this.hill(s.gel[1]);
        out.push(this.put(room, `${w.gel}, ${this.moment(s.gel[0])}`, [[x, y], [x, (y + this.box.bottom) / 2], [x, this.box.bottom - 14]], { cls: "cloth" }));
      }
      if (lines.tg.length > 1) out.push(this.put(room, this.small ? "Tg" : w.tg, part(lines.tg, 0.3, 1), { cls: "cloth", bold: true }));
      if (!this.small) {
        out.push(this.put(room, s.lag, part(lines.lag, 0.03, 0.7), { cls: "heat", bold: true }));
        out.push(this.put(room, s.lead, part(lines.lead, 0.03, 0.7), { cls: "heat" }));
        out.push(this.put(room, w.air, part(lines.air, 0.7, 1), { cls: "second" }));
      }
      const dense = [];
      for (let k = 1; k < lines.set.length; k++) for (let q = 1; q < 9; q++) dense.push([0, 1].map((i) => lines.set[k - 1][i] + ((lines.set[k][i] - lines.set[k - 1][i]) * q) / 9));
      if (!this.small) out.push(this.put(room, w.programme, dense, {}));
      const end = s.cure[s.cure.length - 1];
      out.push(this.put(room, `${w.degree} ${this.number(end, 2)}`, part(lines.hill, 0.55, 1), { cls: "cloth" }));
      for (const line of this.small ? [] : (this.log?.lines ?? []))
        if (line.px.length > 1) out.push(this.put(room, line.name, part(line.px, 0.1, 0.95), { cls: "second" }));
      return out;
    },
    noted(room) {
      const out = [];
      const leaders = [];
      const { left, right, top, bottom } = this.box;
      const most = Math.min(300, 0.32 * (right - left));
      this.shown.notes.forEach((n) => {
        const at = this.spot(n);
        const heads = this.wrapped(n.head, 13, most, true);
        const texts = n.text ? this.wrapped(n.text, 13, most) : [];
        const w = Math.max(...heads.map((l) => this.width(l, 13, true)), ...texts.map((l) => this.width(l, 13)));
        const h = 18 * (heads.length + texts.length);
        let best = null;
        for (let x = left + 8; x + w < right - 6; x += 16)
          for (let y = top + 6; y + h < bottom - 4; y += 14) {
            const end = [clamp(at[0], x - 4, x + w + 4), clamp(at[1], y - 2, y + h + 4)];
            const far = Math.hypot(end[0] - at[0], end[1] - at[1]);
            if (far < 14) continue;
            let cost = room.cost(x - 6, y - 4, x + w + 6, y + h + 5) + 0.35 * far;
            for (const [a, b] of leaders) if (crossing(a, b, end, at)) cost += 400;
            for (const [l, t, r, b] of room.boxes)
              for (let q = 1; q < 8; q++) {
                const [px, py] = [end[0] + ((at[0] - end[0]) * q) / 8, end[1] + ((at[1] - end[1]) * q) / 8];
                if (px > l && px < r && py > t && py < b) cost += 60;
              }
            if (!best || cost < best.cost) best = { cost, x, y, end };
          }
        if (!best) return;
        leaders.push([best.end, at]);
        room.take(best.x - 6, best.y - 4, best.x + w + 6, best.y + h + 5);
        out.push(`<path d="M${best.end.map((v) => v.toFixed(1)).join(" ")}L${at.map((v) => v.toFixed(1)).join(" ")}" class="leader"/><circle cx="${at[0].toFixed(1)}" cy="${at[1].toFixed(1)}" r="2.6" class="dot"/>`);
        [...heads.map((l) => [l, true]), ...texts.map((l) => [l, false])].forEach(([line, bold], k) =>
          out.push(`<text x="${best.x.toFixed(1)}" y="${(best.y + 13 + 18 * k).toFixed(1)}" class="name note-${escaped(n.weight)}${bold ? " b" : ""}">${escaped(line)}</text>`),
        );
      });
      return out;
    },
    spot(note) {
      const { left, right, top, bottom } = this.box;
      const y = note.cure === undefined ? this.y(note.kelvin) : this.hill(note.cure);
      return [clamp(this.x(note.t), left, right), clamp(y, top, bottom)];
    },
    rings() {
      return this.shown.notes.map((n, k) => {
        const at = this.spot(n);
        const x = clamp(at[0], this.box.left + 11, this.box.right - 11);
        const y = clamp(at[1] - 16, this.box.top + 11, this.box.bottom - 11);
        return `<circle cx="${x}" cy="${y}" r="10" class="number"/><text x="${x}" y="${y + 4}" class="tick b" text-anchor="middle">${k + 1}</text>`;
      });
    },
    segments(bottom) {
      const out = [];
      const y = bottom + 28;
      const c = this.corners;
      const spans = [];
      for (let k = 1; k < c.length; k++) {
        const [t0, k0] = c[k - 1];
        const [t1, k1, seg, end] = c[k];
        if (end === "rise") spans.push([t0, t1, k1 >= k0 ? this.words.rise : this.words.fall, this.rate(this.segs[seg][1])]);
        else spans.push([t0, t1, `${this.words.hold} ${this.degrees(k1, 0)}`, this.duration(t1 - t0)]);
      }
      const t = c[c.length - 1][0];
      if (this.shown.duration > t + 60) spans.push([t, this.shown.duration, this.words.cool, this.duration(this.shown.duration - t)]);
      let last = -99;
      for (const [a, b, head, under] of spans) {
        const [x0, x1] = [this.x(a), this.x(b)];
        for (const x of [x0, x1]) if (x - last > 1) (out.push(`<path d="M${x.toFixed(1)} ${y}v28" class="bracket"/>`), (last = x));
        const roomy = x1 - x0 - 6;
        if (Math.max(this.width(head, 12), this.width(under, 12)) <= roomy) {
          out.push(`<text x="${(x0 + x1) / 2}" y="${y + 11}" class="tick b" text-anchor="middle">${escaped(head)}</text>`);
          out.push(`<text x="${(x0 + x1) / 2}" y="${y + 26}" class="tick second" text-anchor="middle">${escaped(under)}</text>`);
        } else if (this.width(under, 11) <= roomy) out.push(`<text x="${(x0 + x1) / 2}" y="${y + 18}" class="tick second" text-anchor="middle">${escaped(under)}</text>`);
      }
      return out;
    },
  },
};
