// The plies as they lie: the section on the left, its legend on the right, the first ply at the bottom. A ply is taken in
// hand by its number, and laid elsewhere by its handle: dragged, or with the arrow keys.

export default {
  template: `
    <div class="ply-list" ref="root">
      <div class="ply-section" ref="section" v-html="section"></div>
      <svg class="ply-leads" ref="leads" aria-hidden="true"></svg>
      <div class="ply-table">
        <table :aria-label="words.table">
          <thead><tr>
            <th scope="col">{{ words.ply }}</th><th></th><th></th><th scope="col">{{ words.where }}</th>
            <th scope="col" class="r">{{ words.pieces }}</th><th scope="col" class="r">{{ words.area }}</th>
            <th scope="col" class="r">{{ words.shear }}</th><th scope="col" class="r">{{ words.time }}</th><th></th>
            <th v-if="movable"><span class="bg-sr">{{ words.order }}</span></th>
          </tr></thead>
          <tbody ref="body">
            <tr v-for="row in shown" :key="row.key" :data-k="row.k" @click="$emit('hand', row.k)"
                :class="{ hand: row.k === hand, old: row.stale, held: held && held.k === row.k,
                          over: held && row.k === held.to && held.to !== held.k, up: held && held.to > held.k }">
              <td><button type="button" class="ply-no" :data-no="row.k" :aria-label="row.name"
                          :aria-current="row.k === hand ? 'true' : null" @keydown="keyed($event, row)"
                          @click.stop="$emit('hand', row.k)">{{ row.number }}</button></td>
              <td class="ply-way" v-html="row.glyph"></td><td>{{ row.angle }}</td>
              <td class="ply-where"><span :title="row.where">{{ row.where }}</span></td>
              <td class="r">{{ row.pieces }}</td><td class="r num">{{ row.area }}</td>
              <td class="r num" :class="{ b: row.weighty }">{{ row.shear }}</td><td class="r num">{{ row.time }}</td>
              <td class="ply-state">{{ row.state }}</td>
              <td v-if="movable"><button v-if="row.movable" type="button" class="ply-grip" :aria-label="row.moves"
                          @click.stop @pointerdown.stop="taken($event, row)" @pointermove="carried($event)"
                          @pointerup="laid($event)" @pointercancel="held = null" @keydown="shifted($event, row)"></button></td>
            </tr>
          </tbody>
        </table>
        <p class="m q">{{ words.below }} <template v-if="movable">{{ words.carry }}</template></p>
      </div>
    </div>`,
  props: { rows: Array, hand: Number, words: Object, section: String, ends: Array, movable: Boolean },
  emits: ["hand", "move", "leave"], // a ply that is carried is in hand where it comes to lie
  data() {
    return { held: null };
  },
  computed: {
    shown() {
      return this.rows.map((row, k) => ({ ...row, k })).reverse();
    },
  },
  mounted() {
    this.sizes = new ResizeObserver(() => this.lead());
    this.sizes.observe(this.$refs.root);
    document.fonts?.ready.then(() => this.lead());
    this.lead();
  },
  updated() {
    this.lead();
    if (this.follow !== undefined && this.hand === this.follow) {
      const button = this.$refs.body.querySelector(`tr[data-k="${this.follow}"] .ply-grip`);
      if (document.activeElement === document.body || this.$refs.root.contains(document.activeElement)) button?.focus();
      this.follow = undefined;
    }
  },
  unmounted() {
    this.sizes.disconnect();
  },
  methods: {
    // Lines from where a ply ends in the section to its row; none where the list stands under the section.
    lead() {
      const svg = this.$refs.leads;
      const drawing = this.$refs.section.querySelector("svg");
      svg.replaceChildren();
      if (!drawing) return;
      const root = this.$refs.root.getBoundingClientRect();
      const box = drawing.getBoundingClientRect();
      const table = this.$refs.body.getBoundingClientRect();
      if (table.left < box.right - 4) return;
      svg.setAttribute("viewBox", `0 0 ${root.width} ${root.height}`);
      for (const row of this.$refs.body.rows) {
        const k = Number(row.dataset.k);
        const end = this.ends?.[k];
        if (!end) continue;
        const at = row.getBoundingClientRect();
        const [x, y] = [box.left - root.left + end[0] * box.width, box.top - root.top + end[1] * box.height];
        const [right, high] = [table.left - root.left - 4, at.top - root.top + at.height / 2];
        const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
        path.setAttribute("d", `M${x + 2} ${y}L${right - 14} ${high}H${right}`);
        path.setAttribute("class", k === this.hand ? "hand" : "");
        svg.append(path);
      }
    },
    keyed(e, row) {
      if (e.ctrlKey || e.metaKey || e.altKey) return;
      const step = { ArrowUp: 1, ArrowDown: -1 }[e.key];
      if (step) {
        e.preventDefault();
        const to = Math.max(0, Math.min(this.rows.length - 1, row.k + step));
        this.$refs.body.querySelector(`[data-no="${to}"]`)?.focus();
        this.$emit("hand", to);
      } else if (e.key === "Delete" && row.movable) {
        e.preventDefault();
        this.$emit("leave", row.k);
      }
    },
    // The row to which a ply at k may be carried: past plies of other origin (build-ups) to the next stated one.
    beyond(k, step) {
      let to = k + step;
      while (to >= 0 && to < this.rows.length && !this.rows[to].movable) to += step;
      return to >= 0 && to < this.rows.length ? to : k;
    },
    shifted(e, row) {
      const step = { ArrowUp: 1, ArrowDown: -1 }[e.key];
      if (!step || e.ctrlKey || e.metaKey || e.altKey) return;
      e.preventDefault();
      const to = this.beyond(row.k, step);
      if (to === row.k) return;
      this.follow = to;
      this.$emit("move", { from: row.k, to });
    },
    taken(e, row) {
      e.preventDefault();
      e.currentTarget.setPointerCapture(e.pointerId);
      e.currentTarget.focus();
      this.held = { k: row.k, to: row.k };
    },
    carried(e) {
      if (!this.held) return;
      for (const row of this.$refs.body.rows) {
        const box = row.getBoundingClientRect();
        const k = Number(row.dataset.k);
        if (e.clientY >= box.top && e.clientY < box.bottom && this.rows[k].movable) this.held = { ...this.held, to: k };
      }
    },
    laid() {
      const held = this.held;
      this.held = null;
      if (!held || held.to === held.k) return;
      this.follow = held.to;
      this.$emit("move", { from: held.k, to: held.to });
    },
  },
};
