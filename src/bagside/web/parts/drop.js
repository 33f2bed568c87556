// A place where a file is dropped. The file is the body of one request, so that its progress is known and it can be stopped.

const MEGA = 1e6;

export default {
  template: `
    <div class="drop" :class="{ over }" @dragover.prevent="over = true" @dragleave="over = false"
         @drop.prevent="dropped">
      <p class="b">{{ name }}</p>
      <p v-if="!sending">{{ words.here }}
        <label class="choose"><input type="file" :accept="accept" :aria-label="name" :capture="camera ? 'environment' : null"
          @change="chosen"><span class="act">{{ words.choose }}</span></label></p>
      <p v-else role="status">{{ coming }}
        <span class="busy" aria-hidden="true"><i :style="{ width: share + '%' }"></i></span>
        <button type="button" class="act" @click="stop">{{ words.stop }}</button></p>
      <p class="q s">{{ words.kinds }}</p>
      <p v-if="says" class="b note" role="alert">{{ says }}</p>
    </div>`,
  props: { address: String, accept: String, most: Number, name: String, camera: Boolean, words: Object },
  data() {
    return { over: false, sending: "", share: 0, done: 0, all: 0, says: "" };
  },
  computed: {
    coming() {
      const text = this.share < 100 ? this.words.coming : this.words.read;
      return this.filled(text, { name: this.sending, done: (this.done / MEGA).toFixed(1), all: (this.all / MEGA).toFixed(1) });
    },
  },
  beforeUnmount() {
    this.stop();
  },
  methods: {
    filled(text, values) {
      return text.replace(/\{(\w+)\}/g, (_, key) => values[key]);
    },
    dropped(event) {
      this.over = false;
      this.send(event.dataTransfer.files[0]);
    },
    chosen(event) {
      this.send(event.target.files[0]);
      event.target.value = "";
    },
    stop() {
      this.request?.abort();
      this.request = null;
      this.sending = "";
    },
    send(file) {
      if (!file || this.sending) return;
      this.says = "";
      this.sending = file.name;
      this.share = 0;
      this.done = 0;
      this.all = file.size;
      const request = (this.request = new XMLHttpRequest());
      request.open("POST", this.address);
      request.setRequestHeader("Content-Type", "application/octet-stream");
      request.setRequestHeader("X-Name", encodeURIComponent(file.name));
      request.upload.onprogress = (event) => {
        this.done = event.loaded;
        this.share = event.total ? (100 * event.loaded) / event.total : 0;
      };
      request.upload.onload = () => (this.share = 100);
      request.onerror = () => this.ended(this.filled(this.words.failed, { name: file.name }));
      request.onload = () => {
        let says = "";
        try {
          const answer = JSON.parse(request.responseText);
          says = answer.says || (answer.problems || []).map((p) => `${p.wanted}. ${p.hint ?? ""}`).join(" ");
        } catch {
          says = this.filled(this.words.failed, { name: file.name });
        }
        this.ended(request.status < 300 ? "" : says || this.filled(this.words.failed, { name: file.name }));
      };
      request.send(file);
    },
    ended(says) {
      this.says = says;
      this.sending = "";
      this.request = null;
    },
  },
};
