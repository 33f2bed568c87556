// The floor page: one build, one step a screen. Everything is kept on the device first and sent afterwards.

import * as clock from "./clock.js";
import { currentOf, screensOf, standing } from "./course.js";
import * as drafts from "./drafts.js";
import { head } from "./frame.js";
import { h } from "./h.js";
import { heldBack, watched } from "./hold.js";
import { checkScreen, layScreen } from "./lay.js";
import { buildsScreen, queueScreen, readBuilds, stepsScreen, whoScreen } from "./lists.js";
import { earlyScreen, noteScreen, troubleScreen } from "./notes.js";
import { picker } from "./photo.js";
import { debulkScreen, leakScreen } from "./press.js";
import { inLine, settles, tooSoon } from "./presses.js";
import * as queue from "./queue.js";
import { say, told, tongue } from "./say.js";
import { endScreen, stepScreen } from "./step.js";
import * as store from "./store.js";
import * as timers from "./timers.js";

const root = document.getElementById("floor");
const VIEWS = { lay: layScreen, check: checkScreen, debulk: debulkScreen, leak: leakScreen, step: stepScreen, end: endScreen };
const OVER = { steps: stepsScreen, queue: queueScreen, builds: buildsScreen, note: noteScreen, trouble: troubleScreen, early: earlyScreen, who: whoScreen };
const AFRESH = 20000; // [ms] what others tick is asked for so often
const OWN_BUILD = new Set(["started", "finished", "laid", "debulked", "bagged", "pulled"]);

const app = {
  build: null, builds: null, buildsWhy: "", queue: [], screens: [], screen: null, over: null, overName: "", main: null, ticking: [],
  noticed: [], fault: "", due: false, down: 0, led: false, who: "", choices: {}, languages: { en: "English" }, waitsForPicture: null,

  state() { return standing(this.build, this.queue); },
  timer(step) { return drafts.get(timers.keyOf(this.build.build, step)) ?? null; },
  draft(key) { return drafts.get(`${this.build.build}/${key}`) ?? {}; },
  draftOf(key, value) { return { ...value, key: `${this.build.build}/${key}` }; },
  async keep(...values) {
    try {
      await drafts.keep(values);
    } finally {
      this.render();
    }
  },
  keepDraft(key, value) { return this.keep(this.draftOf(key, value)); },
  noteOf(step) { return this.draft(`note/${step}`).text ?? ""; },

  nameOf(screen) {
    if (screen.type === "lay") return say(screen.ply.pieces.length > 1 ? "lay_title" : "lay_title_one", { n: screen.ply.number, piece: screen.piece });
    if (screen.type === "check") return say("check_title", { n: screen.ply.number });
    return screen.type === "end" ? say("end_title") : told(screen.step.name).text;
  },
  // As it stands on a button, where there is little room.
  shortOf(screen) {
    if (screen.type === "lay") return say(screen.ply.pieces.length > 1 ? "lay_short" : "lay_short_one", { n: screen.ply.number, piece: screen.piece });
    return screen.type === "check" ? say("check_short", { n: screen.ply.number }) : this.nameOf(screen);
  },
  ahead(screen, state) {
    const current = currentOf(this.screens, state);
    return this.screens.indexOf(screen) > this.screens.indexOf(current) && screen.step !== current.step;
  },
  after(screen) { return this.screens[Math.min(this.screens.findIndex((s) => s.id === screen.id) + 1, this.screens.length - 1)]; },
  go(screen) {
    this.led = false;
    this.screen = screen;
    this.over = null;
    this.overName = "";
    this.put();
  },
  // On from a screen, unless somebody has left it meanwhile.
  goFrom(screen) {
    if (this.screen.id === screen.id && !this.over) this.go(this.after(screen));
    else this.render();
  },
  back() {
    const at = this.screens.indexOf(this.screen);
    if (at > 0) this.go(this.screens[at - 1]);
    else this.show("builds");
  },
  show(name) {
    this.open(OVER[name](this), name);
    if (name === "builds") readBuilds(this).then(() => this.anew("builds"));
    if (name === "steps") root.querySelector(".steps .here")?.scrollIntoView({ block: "center" });
  },
  // A list as it stands now, where it was: not under a finger, and what is being typed stays.
  anew(name) {
    if (this.overName !== name || heldBack(() => this.anew(name))) return;
    const typed = [...root.querySelectorAll("input[id]")].map((field) => [field.id, field.value, field === document.activeElement]);
    const held = document.activeElement?.dataset?.key;
    this.over = OVER[name](this);
    root.replaceChildren(this.over);
    for (const [id, value, active] of typed) {
      const field = root.querySelector(`#${id}`);
      if (!field) continue;
      field.value = value;
      if (active) field.focus({ preventScroll: true });
    }
    if (held) root.querySelector(`[data-key="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
  },
  open(node, name = "") {
    if (!this.over) this.down = scrollY;
    this.over = node;
    this.overName = name;
    this.put();
  },
  close() {
    this.over = null;
    this.overName = "";
    this.put(this.down); // where the hand was
  },
  put(down = 0) {
    this.draw(true);
    scrollTo(0, down);
    settles(root);
  },
  failed(error) {
    if (error?.message === "nobody") return; // the name is being asked for
    this.fault = say("error_keep", { why: error?.message || error?.name || String(error) });
    this.render();
  },
  press(key, event, work) {
    timers.ready();
    inLine(key, event, async () => {
      await work();
      if (this.fault) { this.fault = ""; this.render(); }
    }, (error) => this.failed(error));
  },
  // The main button does what it says, with what stands by now: what was pressed just before it may not be drawn yet.
  mainPressed(shown, event) {
    const { ticking } = this;
    this.composed();
    this.ticking = ticking;
    const now = this.main;
    if (now.go && now.does === shown.does) this.press("main", event, now.go);
    else this.speak(now.words);
  },
  speak(words) { document.getElementById("said").textContent = words; },
  live(beat) { this.ticking.push({ beat, over: beat() }); },

  // Events that belong together, with what is half done: all are kept, or none.
  async tell(events, { stay = false, drafts: values = [] } = {}) {
    if (!this.who) { this.show("who"); throw new Error("nobody"); }
    const name = this.build.build;
    const told = events.map(([kind, data]) => ({ kind, data: OWN_BUILD.has(kind) ? { build: name, ...data } : data }));
    await drafts.keep(values, (changes) => queue.add(name, told, this.who, changes));
    await this.readQueue();
    if (!stay) this.render();
  },
  takeBack(event, press) {
    this.press(`mistake-${event}`, press, async () => {
      const own = this.queue.find((i) => i.id === event);
      if (own?.state === "waiting" && !queue.isUnderWay(own)) await queue.remove(own);
      else await this.tell([["taken-back", { event, why: say("mistake_why") }]]);
      await this.readQueue();
      this.render();
    });
  },
  photo() {
    const { screen, build: { build } } = this;
    const input = picker(async (blob) => {
      if (blob === null) { this.speak(say("error_photo")); return; }
      const step = screen.step.key === "close" ? "" : screen.step.key;
      await queue.add(build, [{ kind: "photo", data: { step, caption: this.nameOf(screen) }, blob }], this.who);
      await this.readQueue();
      this.speak(say("photo_kept"));
      this.render();
    });
    root.append(input);
    input.click();
  },
  seen() { this.noticed = []; this.render(); },

  async readQueue() { this.queue = await queue.waiting(); },
  async openBuild(name) {
    history.pushState(null, "", `/floor/b/${encodeURIComponent(name)}`);
    await opened(name);
  },
  scan(code) { location.href = `/floor/scan?code=${encodeURIComponent(code)}`; },
  async setWho(name) {
    this.who = name;
    await store.keep("who", name);
    if (this.build) this.close();
    else this.show("builds");
  },
  async choose(name, value) {
    this.choices[name] = value;
    await store.keep("choices", this.choices);
    await spoken();
    if (this.overName) this.anew(this.overName);
    else this.render();
  },

  // A screen of the build as it stands: its nodes, the deck last.
  composed() {
    this.ticking = [];
    return VIEWS[this.screen.type](this, this.state(), this.screen).flat(Infinity).filter((n) => n);
  },
  // Drawn anew once for all that has changed, not under a finger.
  render() {
    if (this.due) return;
    this.due = true;
    const now = () => { this.due = false; if (!heldBack(() => this.render())) this.draw(); };
    if (document.hidden) setTimeout(now, 0);
    else requestAnimationFrame(now);
  },
  draw(fresh = false) {
    const held = fresh ? null : document.activeElement?.closest?.("[data-key]")?.dataset.key;
    if (this.over) {
      if (root.firstChild !== this.over) root.replaceChildren(this.over);
    } else if (this.build === null) {
      root.replaceChildren(h("p", { class: "alone" }, say("loading")));
    } else {
      const at = this.screens.indexOf(this.screen);
      const flat = this.composed();
      const deck = flat.pop();
      const line = queue.link.online ? "" : h("p", { class: "offline" }, say(window.isSecureContext ? "offline_now_safe" : "offline_now"));
      const fault = this.fault ? h("p", { class: "offline", role: "alert" }, this.fault) : "";
      root.replaceChildren(head(this, at + 1, this.screens.length - 1, at), h("main", {}, fault, line, ...flat), deck);
      document.title = `${this.build.build}: ${this.nameOf(this.screen)}`;
    }
    if (fresh) root.querySelector("h1")?.focus({ preventScroll: true });
    else if (held) root.querySelector(`[data-key="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
  },
};

// What is kept of a build, with the state that was heard last.
async function newest(name) {
  const build = await store.get("builds", name);
  const state = await store.kept(`state/${name}`);
  return build && state && state.now > build.state.now ? { ...build, state } : build;
}

async function opened(name) {
  const kept = await newest(name);
  await drafts.read();
  await app.readQueue();
  if (kept) shown(kept);
  const sent = await sentOf(name);
  const answer = await queue.asked(`/floor/build/${encodeURIComponent(name)}.json`);
  if (answer?.ok) {
    await settled(sent, store.putting("builds", answer.data));
    shown(answer.data, kept !== undefined);
    await app.readQueue();
  } else if (!kept) {
    app.open(h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, name),
      h("p", { class: "stop" }, answer === null ? say("error_none") : say("error_server", { why: answer.said })),
      h("div", { class: "row" }, h("button", { type: "button", onclick: () => app.show("builds") }, say("to_builds")))));
  }
}

function shown(build, again = false) {
  const id = again && app.screen && !app.led ? app.screen.id : null;
  app.build = build;
  app.screens = screensOf(build);
  app.led = id === null; // nobody has chosen a screen: it is that of the work
  const piece = new URLSearchParams(location.search).get("piece");
  app.screen = app.screens.find((s) => s.id === id) ?? (piece && app.screens.find((s) => s.piece === piece)) ?? currentOf(app.screens, app.state());
  if (!again) { app.over = null; app.overName = ""; }
  if (again) app.render();
  else app.put();
  if (!app.who) app.show("who");
  clearTimeout(app.waitsForPicture);
  if (build.pictures === "drawing") app.waitsForPicture = setTimeout(() => afresh(true), 3000);
}

// What was answered before the server's state was asked for stands in that state: it leaves the queue.
const sentOf = async (name) => (await queue.waiting()).filter((i) => i.state === "sent" && i.build === name);

const settled = (sent, state) => store.write([state, ...sent.map((item) => store.dropping("queue", item.seq))]);

async function afresh(whole = false) {
  if (app.build === null || document.hidden) return;
  const name = app.build.build;
  const sent = await sentOf(name);
  const answer = await queue.asked(`/floor/build/${encodeURIComponent(name)}${whole ? "" : "/state"}.json`);
  if (!answer?.ok || app.build?.build !== name) {
    if (whole && app.build?.build === name) app.waitsForPicture = setTimeout(() => afresh(true), 10000);
    return;
  }
  const told = whole ? answer.data.state : answer.data;
  if (told.now < app.build.state.now) return; // overtaken by a later answer
  // The plan with its pictures is kept once, its state often.
  await settled(sent, whole ? store.putting("builds", answer.data) : store.putting("kept", { key: `state/${name}`, value: told }));
  if (app.build?.build !== name) return;
  if (whole) shown(answer.data, true);
  else app.build = { ...app.build, state: told };
  await app.readQueue();
  app.render();
}

async function spoken() {
  const wanted = app.choices.language ?? (navigator.language?.startsWith("de") ? "de" : "en");
  const answer = await fetch(`/floor/words/${wanted}.json`).then((r) => (r.ok ? r.json() : null)).catch(() => null);
  const words = answer ?? (await store.kept(`words/${wanted}`)) ?? (await store.kept("words/en"));
  if (answer) await store.keep(`words/${wanted}`, answer);
  Object.assign(tongue, { language: words?.language ?? "en", words: words?.words ?? {} });
  for (const name of ["heat", "lengths", "gauge"]) if (app.choices[name]) tongue[name] = app.choices[name];
  app.languages = words?.languages ?? app.languages;
  app.choices.language = tongue.language;
  document.documentElement.lang = tongue.language;
  document.querySelector("meta[name=theme-choice]").content = app.choices.theme ?? "auto";
}

function keys() {
  addEventListener("keydown", (event) => {
    if (event.target.closest?.("input, textarea, select") || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.repeat && (event.key === "Enter" || event.key === " ")) { event.preventDefault(); return; } // a key held down is one press
    if (event.key === "Escape") { if (app.over && app.build) app.close(); else if (!app.over) app.back(); }
    else if (!app.over && event.key === "ArrowLeft") app.back();
    else if (!app.over && event.key === "ArrowRight" && app.build) app.go(app.after(app.screen));
    else if (!app.over && event.key === "Enter" && event.target.tagName !== "BUTTON" && event.target.tagName !== "A") root.querySelector("[data-key=main]")?.click();
    else return;
    event.preventDefault();
  });
}

async function begun() {
  if (!("indexedDB" in window)) throw new Error("store");
  await clock.wound();
  app.choices = await store.kept("choices", {});
  app.who = await store.kept("who", "");
  await spoken();
  queue.listen(async (what, extra) => {
    if (what === "answered") {
      await app.readQueue();
      for (const answer of extra.answers) {
        const item = app.queue.find((i) => i.id === answer.id);
        if (answer.noticed?.length && item) app.noticed.push(...answer.noticed.map((n) => ({ ...n, build: item.build })));
      }
      await afresh();
    }
    if (what === "queue") await app.readQueue();
    if (app.overName === "queue") app.anew("queue");
    else if (!app.over) app.render();
  });
  await queue.begin();
  keys();
  watched();
  root.addEventListener("click", (event) => { if (tooSoon(event)) { event.preventDefault(); event.stopPropagation(); } }, true);
  addEventListener("unhandledrejection", (event) => { event.preventDefault(); app.failed(event.reason); });
  addEventListener("popstate", () => route());
  setInterval(() => afresh(), AFRESH);
  setInterval(() => {
    for (const one of app.ticking) {
      const over = one.beat();
      if (over !== one.over) { one.over = over; if (!app.over) { app.render(); break; } }
    }
  }, 500);
  await route();
  if (window.isSecureContext && "serviceWorker" in navigator) {
    navigator.serviceWorker.register("/floor/sw.js", { scope: "/floor" }).catch(() => {});
  }
  navigator.storage?.persist?.().catch?.(() => {});
}

async function route() {
  const name = /^\/floor\/b\/([^/]+)$/.exec(location.pathname)?.[1];
  if (name) return opened(decodeURIComponent(name));
  app.build = null;
  await app.readQueue();
  app.show("builds");
  if (!app.who) app.show("who");
  return null;
}

begun().catch((error) => {
  root.replaceChildren(h("p", { class: "alone" }, error?.message === "store" || error?.name === "InvalidStateError" || error?.name === "SecurityError"
    ? say("error_store") : String(error?.message ?? error)));
});

