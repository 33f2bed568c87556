// The chart of a cure: drawn here from arrays, its programme dragged by yellow squares.
//
// Line is computed, ring and tick are measured, dashes are from the log, hatch may not be entered; leading and lagging
// are one filled band, the degree of cure a quiet hill on the right axis. While a square is held the curves follow: one
// question is under way at a time, and the last one asked is answered last.

import { clamp, duration, escaped, Painter, Reader, width, ZERO } from "bagside-cycle";

const REACH = 22; // px round a square in which it is taken hold of
const MINUTE = 60;
const LATER = 3000; // ms after the last key until what was set is written
const NEAR = [0.06, 1e-5, 31]; // what the file rounds away: target [K], ramp [K/s], hold [s]

export default {
  template: `
    <div class="cycle" :class="{ over: over, small: small }" ref="root" @dragover="dragOver" @dragleave="over = false"
         @drop="dropped">
      <svg ref="svg" :viewBox="'0 0 ' + wide + ' ' + tall" :width="wide" :height="tall" role="group" :aria-label="label"
           @pointerdown="down" @pointermove="moved" @pointerup="up" @pointercancel="cancel">
        <g aria-hidden="true" v-html="paint"></g>
        <g aria-hidden="true" v-html="inHand"></g>
        <template v-if="can">
          <g v-for="g in grips" :key="g.key" class="grip" :class="{ held: held === g.key }" tabindex="0" role="slider"
             :aria-label="g.label" :aria-valuetext="g.says" :aria-valuenow="g.now" aria-valuemin="0"
             :aria-valuemax="g.most" :data-grip="g.key" @keydown="key($event, g)" @blur="commit"
             :transform="'translate(' + g.x + ' ' + g.y + ')'">
            <rect class="reach" x="-22" y="-22" width="44" height="44"></rect>
            <rect class="square" x="-7" y="-7" width="14" height="14"></rect>
          </g>
        </template>
      </svg>
      <ol v-if="ringed && shown && shown.notes.length" class="cycle-notes">
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
    return { wide: 1000, tall: 480, small: false, ringed: false, segs: [], held: "", over: false, said: "", trouble: "", fonts: 0,
             frame: null, ghost: null };
  },
  created() {
    Object.assign(this, { asked: 0, under: 0, since: new Map(), dirty: false, later: null, settled: null, off: null,
                         origin: null });
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
      if (now?.seq) {
        const begun = this.since.get(now.seq);
        if (begun !== undefined) {
          this.since.clear();
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
    reader() {
      return new Reader(this.heat, this.decimal);
    },
    corners() {
      const out = [[0, this.shown?.start ?? ZERO + 20]];
      this.segs.forEach(([target, ramp, hold], k) => {
        const [t, c] = out[out.length - 1];
        const rise = Math.abs(target - c) / ramp;
        out.push([t + rise, target, k, "rise"]);
        if (hold > 0) out.push([t + rise + hold, target, k, "hold"]);
      });
      return out;
    },
    ends() {
      const s = this.shown;
      if (this.frame) return this.frame; // the paper does not move under the hand
      if (!s) return { t: 3600, low: ZERO, high: ZERO + 100 };
      let t = Math.max(s.duration, this.corners[this.corners.length - 1][0], s.time[s.time.length - 1]);
      let low = s.start;
      let high = s.start + 40;
      for (const [, c] of this.corners) high = Math.max(high, c);
      for (const name of ["leading", "lagging", "tg"]) for (const v of s[name]) high = Math.max(high, v);
      for (const b of s.bounds) if (b.edge.length === 2) high = Math.max(high, b.edge[0] + 9);
      for (const line of this.log?.lines ?? []) {
        if (line.time.length) t = Math.max(t, line.time[line.time.length - 1]);
        for (const v of line.values) if (v !== null) ((high = Math.max(high, v)), (low = Math.min(low, v)));
      }
      const step = this.reader.fahrenheit ? 20 : 10;
      const down = step * Math.floor(this.reader.shown(low - 4) / step);
      const up = step * Math.ceil(this.reader.shown(high + 3) / step);
      return { t, low: this.reader.kelvin(down), high: this.reader.kelvin(up) };
    },
    painter() {
      void this.fonts; // widths are those of the type once it is there
      const { shown, log, words, corners, segs, clock, reader, wide, tall, small, ringed, ends } = this;
      return new Painter({ shown, log, words, corners, segs, clock, reader, wide, tall, small, ringed, ends });
    },
    paint() {
      if (!this.shown) return "";
      this.painter.hand = this.handSays;
      return this.painter.painted();
    },
    grips() {
      const p = this.painter;
      return this.corners
        .slice(1)
        .filter(([t]) => t <= this.ends.t * 1.001)
        .map(([t, c, k, end]) => ({
          key: `${k}-${end}`,
          k,
          end,
          x: p.x(t),
          y: p.y(c),
          label: this.words[end === "rise" ? "grip_rise" : "grip_hold"].replace("{n}", k + 1),
          says: `${this.reader.degrees(c, 1)}, ${this.words.after.replace("{t}", duration(t))}`,
          now: Math.round(this.reader.shown(c)),
          most: Math.round(this.reader.shown(this.limits.hottest ?? ZERO + 250)),
        }));
    },
    handSays() {
      const grip = this.grips.find((g) => g.key === this.held);
      if (!grip) return null;
      const [, ramp, hold] = this.segs[grip.k];
      const says = `${this.reader.rate(ramp)} · ${this.words.hold} ${duration(hold)}`;
      const w = width(says, 13, true);
      const { left, right, top } = this.painter.box;
      return { says, w, x: clamp(grip.x - w / 2, left + 4, right - w - 4), y: grip.y > top + 40 ? grip.y - 18 : grip.y + 30 };
    },
    inHand() {
      const grip = this.grips.find((g) => g.key === this.held);
      if (!grip) return "";
      const { left, bottom } = this.painter.box;
      const at = this.corners.find((c) => c[2] === grip.k && c[3] === grip.end);
      const out = [];
      if (this.ghost) out.push(`<path d="${this.painter.path(this.ghost)}" class="ghost"/>`);
      out.push(`<path d="M${left} ${grip.y}H${grip.x}V${bottom}" class="cross"/>`);
      const tag = (x, y, text, anchor) => {
        const w = width(text, 12, true) + 8;
        const l = anchor === "end" ? x - w : x - w / 2;
        const words = `<text x="${l + 4}" y="${y}" class="tag-text">${escaped(text)}</text>`;
        return `<rect x="${l}" y="${y - 13}" width="${w}" height="18" class="tag"/>${words}`;
      };
      out.push(tag(left - 2, grip.y + 4, this.reader.degrees(this.segs[grip.k][0], 0), "end"));
      out.push(tag(grip.x, bottom + 16, this.painter.moment(at[0]), "middle"));
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
      this.origin = null;
    },
    sized() {
      const wide = Math.max(300, Math.floor(this.$refs.root.clientWidth));
      this.wide = wide;
      this.small = wide < 700;
      this.ringed = wide < 900;
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
      this.frame = { ...this.ends };
      this.remember();
      this.held = best.g.key;
      this.off = [x - best.g.x, y - best.g.y];
      this.$refs.svg.querySelector(`[data-grip="${best.g.key}"]`)?.focus({ preventScroll: true });
    },
    moved(event) {
      if (!this.held || !this.off) return;
      const [x, y] = this.place(event);
      const { left, right, top, bottom } = this.painter.box;
      const { t, low, high } = this.ends;
      const time = ((x - this.off[0] - left) / (right - left)) * t;
      this.set(this.held, time, low + ((bottom - (y - this.off[1])) / (bottom - top)) * (high - low));
    },
    up() {
      if (!this.held) return;
      this.held = "";
      this.off = null;
      this.frame = null;
      this.commit();
    },
    remember() {
      // what is set before the hand moves it: drawn as a ghost, and gone back to with Escape
      if (this.origin) return;
      this.ghost = this.corners.map(([t, c]) => [t, c]);
      this.origin = this.segs.map((s) => [...s]);
    },
    cancel() {
      clearTimeout(this.later);
      const back = this.origin;
      this.held = "";
      this.off = null;
      this.dirty = false;
      this.frame = null;
      this.ghost = null;
      this.origin = null;
      if (!back) return;
      this.segs = back;
      this.settled = { segs: back, until: Date.now() + 4000 };
      this.under = 0;
      this.ask();
    },
    set(key, time, kelvin) {
      const grip = this.grips.find((g) => g.key === key);
      if (!grip) return;
      const at = this.corners.findIndex((c) => c[2] === grip.k && c[3] === grip.end);
      const seg = this.segs[grip.k];
      const before = this.corners[this.corners.findIndex((c) => c[2] === grip.k) - 1];
      const r = this.reader;
      const top = this.frame ? Math.min(this.limits.hottest, this.frame.high) : this.limits.hottest;
      const target = clamp(r.kelvin(Math.round(r.shown(kelvin))), this.limits.coldest, top);
      const minutes = MINUTE * Math.round(Math.min(time, this.frame ? this.frame.t : Infinity) / MINUTE);
      const next = [...seg];
      const change = Math.abs(target - before[1]);
      if (grip.end === "rise") {
        const takes = Math.max(minutes - MINUTE * Math.round(before[0] / MINUTE), MINUTE);
        const fastest = target > before[1] ? this.limits.heating : this.limits.cooling;
        if (change > 1e-6) ((next[0] = target), (next[1] = Math.min(change / takes, fastest)));
      } else {
        next[2] = Math.max(MINUTE * Math.round((minutes - this.corners[at - 1][0]) / MINUTE), 0);
        if (change > 1e-6) next[0] = target;
      }
      if (next.every((v, k) => Math.abs(v - seg[k]) < 1e-12)) return;
      this.segs.splice(grip.k, 1, next);
      this.dirty = true;
      if (grip.end === "hold" && !(next[2] > 0)) this.held = this.held && `${grip.k}-rise`;
      this.ask();
    },
    key(event, grip) {
      const step = event.shiftKey ? 10 : 1;
      const [dt, dc] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key] ?? [0, 0];
      if (event.key === "Escape" && (this.dirty || this.held)) {
        event.preventDefault();
        this.cancel();
        return;
      }
      if (event.key === "Enter") return this.commit();
      if (!dt && !dc) return;
      event.preventDefault();
      this.remember();
      const at = this.corners.find((c) => c[2] === grip.k && c[3] === grip.end);
      this.set(grip.key, at[0] + dt * step * MINUTE, at[1] + dc * step * this.reader.degree);
      this.said = this.grips.find((g) => g.key === grip.key)?.says ?? "";
      clearTimeout(this.later);
      this.later = setTimeout(() => this.commit(), LATER);
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
      this.origin = null;
      this.settled = { segs: this.segs.map((s) => [...s]), until: Date.now() + 4000 };
      this.$emit("settle", { segments: this.segs });
    },
    alike(one, other) {
      return one.length === other.length && one.every((s, k) => s.every((v, i) => Math.abs(v - other[k][i]) <= NEAR[i]));
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
  },
};
