// Words for a step: a note, a trouble with its usual names, why a time was cut short. They stand with the step's finish.

import { h } from "./h.js";
import { keypad } from "./keypad.js";
import { duration, say } from "./say.js";
import * as clock from "./clock.js";

const TROUBLES = ["film", "bridge", "fold", "tack", "arrow", "dirt", "other"];

export function noteScreen(app, { words = say("note_title"), why = say("note_why"), begins = "" } = {}) {
  const key = app.screen.step.key;
  const field = h("textarea", { id: "note", rows: "5", maxlength: "1500", "aria-label": words });
  field.value = app.noteOf(key) ? `${app.noteOf(key)}\n${begins}`.trimEnd() + (begins ? " " : "") : begins;
  const write = async () => { await app.setNote(key, field.value.trim()); app.close(); };
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, words), h("p", { class: "q" }, why), field,
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: () => app.close() }, say("leave")),
      h("button", { type: "button", class: "go", onclick: write }, say("write_down"))));
}

export function earlyScreen(app) {
  const timer = app.timer(app.screen.step.key);
  const gone = timer ? duration((clock.now() - timer.began) / 1000) : "";
  return noteScreen(app, { words: say("stop_early"), begins: gone ? `${say("stopped_early", { time: gone })}: ` : "" });
}

export function troubleScreen(app) {
  const key = app.screen.step.key;
  const say_ = async (what) => {
    const words = say(`trouble_${what}`);
    if (what === "film" && app.screen.type === "lay") return films(app, words);
    if (what === "arrow" && app.screen.type === "lay") return arrow(app, words);
    if (what === "other") return app.open(noteScreen(app, { words: say("trouble_title") }));
    await app.setNote(key, [app.noteOf(key), words].filter(Boolean).join("\n"));
    return app.open(noteScreen(app, { words: say("trouble_title") }));
  };
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("trouble_title")),
    h("div", { class: "stack" },
      h("button", { type: "button", class: "hurt", onclick: () => app.open(hurtScreen(app)) }, say("trouble_hurt")),
      TROUBLES.map((what) => h("button", { type: "button", onclick: () => say_(what) }, say(`trouble_${what}`)))),
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: () => app.close() }, say("leave"))));
}

function hurtScreen(app) {
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("trouble_hurt")),
    h("div", { class: "caution" }, h("p", {}, h("b", {}, say("trouble_hurt_do")))),
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: () => app.close() }, say("close_list"))));
}

function films(app, words) {
  const { screen } = app;
  app.open(keypad({
    title: say("films_how_many"),
    field: { quantity: "count", digits: 0, low: null, high: null, planned: screen.ply.films },
    ambient: app.build.ambient, left: () => app.close(),
    taken: async (count) => {
      await app.keepDraft(`lay/${screen.id}`, { ...app.draft(`lay/${screen.id}`), other: Math.round(count) });
      await app.setNote(screen.step.key, [app.noteOf(screen.step.key), `${screen.piece}: ${words} (${Math.round(count)}/${screen.ply.films})`].filter(Boolean).join("\n"));
      app.close();
    },
  }));
}

function arrow(app, words) {
  const { screen } = app;
  app.open(keypad({
    title: say("arrow_off"), field: { quantity: "angle", digits: 1, low: null, high: null, planned: null },
    ambient: app.build.ambient, left: () => app.close(),
    taken: async (angle) => {
      await app.keepDraft(`lay/${screen.id}`, { ...app.draft(`lay/${screen.id}`), angle });
      await app.setNote(screen.step.key, [app.noteOf(screen.step.key), `${screen.piece}: ${words}`].filter(Boolean).join("\n"));
      app.close();
    },
  }));
}
