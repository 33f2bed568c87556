// Words for a step: a note, a trouble with its usual names, why a time was cut short. They stand with the step's finish.

import { h } from "./h.js";
import { keypad } from "./keypad.js";
import { duration, say } from "./say.js";
import * as clock from "./clock.js";

const TYPED = 400; // [ms] after the last letter
const TROUBLES = ["film", "bridge", "fold", "tack", "arrow", "dirt", "other"];

export function noteScreen(app, { words = say("note_title"), why = say("note_why"), begins = "" } = {}) {
  const { step } = app.screen;
  const key = step.key;
  const typed = `typed/${key}`;
  const field = h("textarea", { id: "note", rows: "5", maxlength: "1500", "aria-label": words });
  const held = app.noteOf(key);
  field.value = app.draft(typed).text ?? (held ? `${held}\n${begins}`.trimEnd() + (begins ? " " : "") : begins);
  let soon = null; // what is being typed is kept too: a battery may die before it is written down
  field.addEventListener("input", () => {
    clearTimeout(soon);
    soon = setTimeout(() => app.keepDraft(typed, { text: field.value }), TYPED);
  });
  const leave = () => {
    clearTimeout(soon);
    app.close();
    return app.keep({ ...app.draftOf(typed, {}), gone: true });
  };
  const write = async () => {
    clearTimeout(soon);
    await app.keep(app.draftOf(`note/${key}`, { text: field.value.trim() }), { ...app.draftOf(typed, {}), gone: true });
    app.close();
  };
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, words), h("p", { class: "q" }, why), field,
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: leave }, say("leave")),
      h("button", { type: "button", class: "go", onclick: (event) => app.press("note", event, write) }, say("write_down"))));
}

export function earlyScreen(app) {
  const timer = app.timer(app.screen.step.key);
  const gone = timer ? duration((clock.now() - timer.began) / 1000) : "";
  return noteScreen(app, { words: say("stop_early"), begins: gone ? `${say("stopped_early", { time: gone })}: ` : "" });
}

export function troubleScreen(app) {
  const key = app.screen.step.key;
  const named = async (what) => {
    const words = say(`trouble_${what}`);
    if (what === "film" && app.screen.type === "lay") return films(app, words);
    if (what === "arrow" && app.screen.type === "lay") return arrow(app, words);
    if (what !== "other") await app.keep(noted(app, key, words));
    return app.open(noteScreen(app, { words: say("trouble_title") }));
  };
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("trouble_title")),
    h("div", { class: "stack" },
      h("button", { type: "button", class: "hurt", onclick: () => app.open(hurtScreen(app)) }, say("trouble_hurt")),
      TROUBLES.map((what) => h("button", { type: "button", onclick: (event) => app.press("trouble", event, () => named(what)) }, say(`trouble_${what}`)))),
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: () => app.close() }, say("leave"))));
}

function hurtScreen(app) {
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("trouble_hurt")),
    h("div", { class: "caution" }, h("p", {}, h("b", {}, say("trouble_hurt_do")))),
    h("div", { class: "row" }, h("button", { type: "button", class: "back word", onclick: () => app.close() }, say("close_list"))));
}

// The note of a step with a line more.
const noted = (app, step, line) => app.draftOf(`note/${step}`, { text: [app.noteOf(step), line].filter(Boolean).join("\n") });

// What is off about the piece in hand, and the line about it: one write.
async function said(app, screen, found, line) {
  const key = `lay/${screen.id}`;
  await app.keep(app.draftOf(key, { ...app.draft(key), ...found }), noted(app, screen.step.key, line));
  app.close();
}

function films(app, words) {
  const { screen } = app;
  app.open(keypad({
    title: say("films_how_many"),
    field: { quantity: "count", digits: 0, low: null, high: null, planned: screen.ply.films },
    ambient: app.build.ambient, left: () => app.close(),
    taken: (count) => app.press("other-films", null, () => said(app, screen, { other: Math.round(count) },
      `${screen.piece}: ${words} (${Math.round(count)}/${screen.ply.films})`)),
  }));
}

function arrow(app, words) {
  const { screen } = app;
  app.open(keypad({
    title: say("arrow_off"), field: { quantity: "angle", digits: 1, low: null, high: null, planned: null },
    ambient: app.build.ambient, left: () => app.close(),
    taken: (angle) => app.press("arrow-off", null, () => said(app, screen, { angle }, `${screen.piece}: ${words}`)),
  }));
}
