// A cloth with its copies under the hand: looked at from nearer, pointed at, put somewhere else and pinned.
//
// The drawing comes from the server whole; this script only moves it and says what was done to it. A copy that is put
// somewhere stays there, dashed, until the server has nested the rest round it and sends the drawing anew.

const FAR = 1;
const NEAR = 8;
const MOVED = 4; // px after which a press is a drag
const WAIT = 700; // ms without a key after which a copy moved by keys is put down
const MM = 1e-3;
const NS = "http://www.w3.org/2000/svg";

const clamp = (v, a, b) => Math.min(Math.max(v, a), b);
const key = (g) => `${g.dataset.piece}|${g.dataset.kit}`;

export default {
  template: `
    <div class="bg-nest">
      <div ref="box" class="bg-nest-box" role="group" :aria-label="label" :aria-describedby="ids"></div>
      <div class="bg-nest-under">
        <span class="verbs">
          <button type="button" class="act" @click="closer(1.5)">{{ words.closer }}</button>
          <button type="button" class="act" @click="closer(1 / 1.5)">{{ words.farther }}</button>
          <button type="button" class="act" @click="whole()">{{ words.whole }}</button>
        </span>
        <span ref="told" class="bg-nest-told" role="status"></span>
        <span ref="acts" class="verbs" v-show="hand && can">
          <button type="button" class="act" @click="pinHere()" v-show="!pinned">{{ words.pin }}</button>
          <button type="button" class="act" @click="loosen()" v-show="pinned">{{ words.loosen }}</button>
          <button type="button" class="act" @click="turn()" v-show="turns">{{ words.turn }}</button>
        </span>
      </div>
      <p class="bg-sr" :id="ids">{{ words.keys }}</p>
    </div>`,
  props: { svg: String, label: String, can: Boolean, words: Object },
  emits: ["put", "loosen"],
  data() {
    return { hand: "", pinned: false, turns: false };
  },
  computed: {
    ids() {
      return `nest-${this.$.uid}`;
    },
  },
  created() {
    // Not watched by the page's framework: they change with every move of the pointer.
    this.look = Object.seal({ k: 1, cx: 0, cy: 0, wide: 1, tall: 1 });
    this.drag = null;
    this.keyed = null;
  },
  mounted() {
    const box = this.$refs.box;
    box.addEventListener("pointerdown", (e) => this.down(e));
    box.addEventListener("pointermove", (e) => this.move(e));
    box.addEventListener("pointerup", (e) => this.up(e));
    box.addEventListener("pointercancel", () => this.letGo());
    box.addEventListener("pointerover", (e) => this.over(e));
    box.addEventListener("wheel", (e) => this.wheel(e), { passive: false });
    box.addEventListener("keydown", (e) => this.key(e));
    box.addEventListener("focusin", (e) => this.take(e.target.closest?.(".copy")));
    this.draw();
  },
  unmounted() {
    clearTimeout(this.keyed?.timer);
  },
  watch: { svg: "draw" },
  methods: {
    draw() {
      const box = this.$refs.box;
      const had = box.contains(document.activeElement) ? this.hand : "";
      clearTimeout(this.keyed?.timer);
      this.drag = this.keyed = null;
      box.innerHTML = this.svg;
      const svg = (this.root = box.querySelector("svg"));
      if (!svg) return;
      const [, , w, h] = svg.getAttribute("viewBox").split(" ").map(Number);
      svg.style.maxWidth = `${w}px`; // a short cloth is not blown up to the width of the page
      const first = this.look.wide === 1;
      Object.assign(this.look, first ? { wide: w, tall: h, cx: w / 2, cy: h / 2 } : { wide: w, tall: h });
      this.aim();
      this.copies = [...svg.querySelectorAll(".copy")];
      const again = this.copies.find((g) => key(g) === this.hand);
      this.hand = "";
      if (again) {
        this.take(again);
        if (had) again.focus({ preventScroll: true });
      } else this.say("");
    },
    aim() {
      const l = this.look;
      const w = l.wide / l.k;
      const h = l.tall / l.k;
      l.cx = clamp(l.cx, w / 2, l.wide - w / 2);
      l.cy = clamp(l.cy, h / 2, l.tall - h / 2);
      this.root?.setAttribute("viewBox", `${l.cx - w / 2} ${l.cy - h / 2} ${w} ${h}`);
      this.$refs.box.classList.toggle("near", l.k > 1);
      this.grip();
    },
    closer(by, at) {
      const l = this.look;
      const before = l.k;
      l.k = clamp(l.k * by, FAR, NEAR);
      if (at) {
        // what lies under the pointer stays under it
        l.cx = at.x + ((l.cx - at.x) * before) / l.k;
        l.cy = at.y + ((l.cy - at.y) * before) / l.k;
      } else if (this.hand) {
        const g = this.now();
        if (g && by > 1) [l.cx, l.cy] = g.dataset.at.split(" ").map(Number);
      }
      this.aim();
    },
    whole() {
      this.look.k = 1;
      this.aim();
    },
    place(e) {
      const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.root.getScreenCTM().inverse());
      return { x: p.x, y: p.y };
    },
    now() {
      return this.copies?.find((g) => key(g) === this.hand);
    },
    say(words) {
      this.$refs.told.textContent = words;
    },
    over(e) {
      const g = e.target.closest?.(".copy");
      if (g) this.say(g.getAttribute("aria-label"));
      else if (!this.drag) this.say(this.now()?.getAttribute("aria-label") ?? "");
    },
    take(g) {
      if (!g) return;
      this.root.querySelectorAll(".hand").forEach((o) => o.classList.remove("hand"));
      g.classList.add("hand");
      this.hand = key(g);
      this.pinned = g.dataset.pinned === "1";
      this.turns = g.dataset.turns.split(" ").length > 1;
      this.say(g.getAttribute("aria-label"));
      this.grip();
    },
    /** The yellow square by which the copy in hand is dragged with a finger. */
    grip() {
      this.root?.querySelector(".grip")?.remove();
      const g = this.now();
      if (!g || !this.can || !this.root) return;
      const one = this.root.viewBox.baseVal.width / Math.max(this.root.clientWidth, 1); // units in a px of the screen
      const [x, y] = g.dataset.at.split(" ").map(Number);
      const grip = document.createElementNS(NS, "g");
      grip.setAttribute("class", "grip");
      for (const [half, look] of [
        [22, "reach"],
        [7, "square"],
      ]) {
        const r = document.createElementNS(NS, "rect");
        r.setAttribute("class", look);
        for (const [n, v] of [
          ["x", x - half * one],
          ["y", y - 26 * one - half * one],
          ["width", 2 * half * one],
          ["height", 2 * half * one],
        ])
          r.setAttribute(n, v);
        r.style.strokeWidth = `${1.6 * one}px`;
        grip.append(r);
      }
      g.append(grip);
    },
    down(e) {
      if (e.button !== 0 || !this.root) return;
      const g = e.target.closest(".copy");
      const by = e.pointerType === "mouse" || e.target.closest(".grip") ? g : null;
      if (g) {
        this.take(g);
        g.focus({ preventScroll: true });
      }
      if (!by && this.look.k === 1) return; // the page scrolls
      if (by && !this.can) return;
      this.drag = { g: by, from: this.place(e), at: { x: e.clientX, y: e.clientY }, moved: false, look: { ...this.look } };
      this.$refs.box.setPointerCapture(e.pointerId);
    },
    move(e) {
      const d = this.drag;
      if (!d) return;
      if (!d.moved && Math.hypot(e.clientX - d.at.x, e.clientY - d.at.y) < MOVED) return;
      d.moved = true;
      if (d.g) {
        const p = this.place(e);
        this.shift(d.g, p.x - d.from.x, p.y - d.from.y);
      } else {
        const one = this.root.viewBox.baseVal.width / this.root.clientWidth;
        this.look.cx = d.look.cx - (e.clientX - d.at.x) * one;
        this.look.cy = d.look.cy - (e.clientY - d.at.y) * one;
        this.aim();
      }
    },
    up(e) {
      const d = this.drag;
      this.drag = null;
      if (d?.g && d.moved) {
        const p = this.place(e);
        this.put(d.g, p.x - d.from.x, p.y - d.from.y, Number(d.g.dataset.turn));
      }
    },
    letGo() {
      if (this.drag?.g) this.shift(this.drag.g, 0, 0);
      this.drag = null;
    },
    shift(g, dx, dy) {
      g.classList.toggle("moving", Boolean(dx || dy));
      g.setAttribute("transform", `translate(${dx} ${dy})`);
      if (g.nextSibling) g.parentNode.append(g); // over all others
    },
    put(g, dx, dy, turn, x = Number(g.dataset.x), y = Number(g.dataset.y)) {
      const scale = Number(this.root.dataset.scale);
      g.classList.add("put");
      this.$emit("put", {
        cloth: this.root.dataset.cloth,
        piece: g.dataset.piece,
        kit: g.dataset.kit,
        turn,
        x: x + dx / scale,
        y: y - dy / scale,
        flipped: g.dataset.flipped === "1",
      });
    },
    pinHere() {
      const g = this.now();
      if (g) this.put(g, 0, 0, Number(g.dataset.turn));
    },
    loosen() {
      const g = this.now();
      if (g) this.$emit("loosen", { piece: g.dataset.piece, kit: g.dataset.kit });
    },
    /** The next turn its cloth allows, about the place of its label. */
    turn() {
      const g = this.now();
      if (!g) return;
      const all = g.dataset.turns.split(" ").map(Number);
      const now = Number(g.dataset.turn);
      const off = all.map((t) => Math.abs(Math.atan2(Math.sin(t - now), Math.cos(t - now))));
      const next = all[(off.indexOf(Math.min(...off)) + 1) % all.length];
      const scale = Number(this.root.dataset.scale);
      const cloth = this.root.dataset;
      const [px, py] = g.dataset.at.split(" ").map(Number);
      const mx = (px - Number(cloth.left)) / scale + Number(cloth.lowx);
      const my = (Number(cloth.base) - py) / scale + Number(cloth.lowy);
      const by = next - now;
      const [x, y] = [Number(g.dataset.x) - mx, Number(g.dataset.y) - my];
      const [c, s] = [Math.cos(by), Math.sin(by)];
      this.put(g, 0, 0, next, mx + c * x - s * y, my + s * x + c * y);
    },
    wheel(e) {
      if (!e.ctrlKey && !e.metaKey && this.look.k === 1) return; // the page scrolls
      e.preventDefault();
      this.closer(Math.exp(-e.deltaY / 400), this.place(e));
    },
    key(e) {
      if (e.key === "+" || e.key === "=") return this.closer(1.5);
      if (e.key === "-") return this.closer(1 / 1.5);
      if (e.key === "0") return this.whole();
      const g = e.target.closest?.(".copy");
      if (!g || !this.can) return;
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
      if (way) {
        e.preventDefault();
        const step = (e.shiftKey ? 10 : 1) * MM * Number(this.root.dataset.scale);
        const k = this.keyed?.g === g ? this.keyed : (this.keyed = { g, dx: 0, dy: 0 });
        clearTimeout(k.timer);
        k.dx += way[0] * step;
        k.dy += way[1] * step;
        g.classList.add("moving");
        g.setAttribute("transform", `translate(${k.dx} ${k.dy})`);
        k.timer = setTimeout(() => this.putKeyed(), WAIT);
      } else if (e.key === "Enter" || e.key === " ") {
        e.preventDefault();
        if (this.keyed) this.putKeyed();
        else if (this.pinned) this.loosen();
        else this.pinHere();
      } else if (e.key === "Escape" && this.keyed) {
        clearTimeout(this.keyed.timer);
        this.shift(g, 0, 0);
        this.keyed = null;
      } else if (e.key === "r") this.turn();
    },
    putKeyed() {
      const k = this.keyed;
      this.keyed = null;
      clearTimeout(k?.timer);
      if (k) this.put(k.g, k.dx, k.dy, Number(k.g.dataset.turn));
    },
  },
};
