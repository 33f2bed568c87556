// The element of the page: its parts, and the watch over what the server asks for.

import { NoPicture, Stage } from "bagside-scene";

export default {
  template: `
    <div class="bg-mesh" role="group" :aria-label="label">
      <template v-if="!fault">
        <div ref="stage" class="bg-stage" tabindex="0" role="application" :aria-label="label"
             :aria-describedby="ids + '-map ' + ids + '-keys'">
          <canvas ref="canvas" aria-hidden="true"></canvas>
          <svg ref="over" class="bg-over" aria-hidden="true"></svg>
          <div ref="handles"></div>
        </div>
      </template>
      <div v-else class="bg-still">
        <p class="bg-said" role="status">{{ said }}</p>
        <div v-html="fallback"></div>
      </div>
      <p v-if="trouble" class="bg-said" role="alert">{{ trouble }}</p>
      <div ref="under" class="bg-under"><p class="bg-keys" :id="ids + '-keys'">{{ words.keys }}</p></div>
      <div ref="notes" class="bg-notes"><slot></slot></div>
      <p ref="map" class="bg-sr" :id="ids + '-map'"></p>
      <div ref="live" class="bg-sr" aria-live="polite"></div>
    </div>`,
  props: {
    address: String,
    field: String,
    label: String,
    marks: Array,
    handles: Array,
    picking: Boolean,
    hovering: Boolean,
    words: Object,
    tongue: String,
    length: Object,
    fallback: String,
  },
  emits: ["pick", "hover", "drag", "ready"],
  data() {
    return { fault: false, lost: false, trouble: "" };
  },
  computed: {
    ids() {
      return `mesh-${this.$.uid}`;
    },
    said() {
      return this.words.no_picture;
    },
  },
  mounted() {
    const { stage, canvas, over, handles, notes, under, live, map } = this.$refs;
    try {
      const emit = (name, payload) => {
        if (name === "lost") this.trouble = this.words.lost;
        else if (name === "back") this.trouble = "";
        else this.$emit(name, payload);
      };
      this.stage = Object.freeze({
        is: new Stage({ stage, canvas, over, handles, notes, under, live, map }, this.words, this.tongue, this.length, emit),
      });
    } catch (error) {
      if (!(error instanceof NoPicture)) throw error;
      this.fault = true;
      return;
    }
    this.stage.is.hoverWanted = this.hovering;
    this.stage.is.pick(this.picking);
    this.load();
  },
  unmounted() {
    this.stage?.is.gone();
  },
  watch: {
    address: "load",
    field(key) {
      this.stage?.is.by(key);
    },
    marks(points) {
      this.stage?.is.mark(points);
    },
    handles(list) {
      this.stage?.is.handles.set(list);
      this.stage?.is.laid();
    },
    picking(on) {
      this.stage?.is.pick(on);
    },
    hovering(on) {
      if (this.stage) this.stage.is.hoverWanted = on;
    },
  },
  methods: {
    async load() {
      if (!this.stage || !this.address) return;
      try {
        await this.stage.is.show(this.address, this.field);
        this.stage.is.mark(this.marks ?? []);
        this.stage.is.handles.set(this.handles ?? []);
        this.stage.is.laid();
        this.trouble = "";
      } catch (error) {
        if (error.name === "AbortError") return;
        this.trouble = this.words.not_loaded;
        console.error(error);
      }
    },
    look_from(direction) {
      this.stage?.is.from(direction);
    },
    home() {
      this.stage?.is.home();
    },
    towards() {
      return this.stage?.is.mesh ? this.stage.is.sight.axes.towards : null;
    },
  },
};
