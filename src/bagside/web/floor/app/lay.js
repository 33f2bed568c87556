// Laying a piece: where it goes, which way the arrow points, its films counted; then the boxes of its ply.

import { cloth, currentOf, gatesOf, isDone, laidOf, stopping } from "./course.js";
import { formButtons } from "./forms.js";
import { cautions, deck, gateName, gates, noteLine, noticed, taken, title, toggle } from "./frame.js";
import { drawing, h, spoken } from "./h.js";
import { clockTime, duration, say, told, tongue } from "./say.js";
import * as clock from "./clock.js";
import * as timers from "./timers.js";

const FILM = /^\d+ films? off$/;

export function layScreen(app, state, screen) {
  const { step, ply, piece } = screen;
  const begun = state.steps[step.key]?.started;
  const tick = laidOf(state, screen);
  const found = gatesOf(app.build, state, step, clock.now());
  const shut = stopping(found);
  const many = ply.pieces.length > 1;
  const words = screen.copies > 1 ? say("lay_title_of", { n: ply.number, piece, k: screen.copy, of: screen.copies })
    : many ? say("lay_title", { n: ply.number, piece }) : say("lay_title_one", { n: ply.number });
  const films = filmsOf(app, screen);
  const ahead = app.ahead(screen, state);
  const before = begun && !tick ? filmToggles(app, screen, films) : [];
  return [
    ...title(words, [ply.material, ply.region && ply.region !== "lay-up" ? ply.region : ""].filter(Boolean).join(", ")),
    screen.copy === 1 || !begun ? cautions(step, app.build.defers) : "",
    noticed(app),
    tick ? h("p", { class: "sub" }, say("done_by", { at: clockTime(tick.at), who: tick.who ?? "" }), " ",
      h("button", { type: "button", class: "line", "data-key": "mistake", onclick: (event) => app.takeBack(tick.event, event) }, say("mistake"))) : "",
    tick || ahead ? "" : gates(found),
    tick || begun || ahead ? "" : h("div", { class: "asks" }, formButtons(app, state, asksFor(state, step, shut))),
    h("div", { class: "body" }, picture(app, screen), sentences(app, screen), underneath(state, screen)),
    h("div", { class: "words" }, step.do.slice(1).map((s) => spoken("p", told(s)))),
    noteLine(app, state, step),
    tick ? "" : ahead ? gates(found, true) : taken(found), // a look ahead is a look at the picture
    deck(app, { before, main: mainOf(app, state, screen, { begun, tick, shut, films }) }),
  ];
}

// Only the numbers that a shut gate asks for: the others are asked where they are read.
export function asksFor(state, step, shut) {
  const keys = new Set(shut.map((g) => g.key));
  return (state.forms[step.key] ?? []).filter((f) => keys.has(f.gate));
}

function mainOf(app, state, screen, { begun, tick, shut, films }) {
  const { step, ply, piece } = screen;
  const next = app.after(screen);
  if (tick) return { does: "next", plain: true, words: say("on_to", { step: app.shortOf(next) }), go: () => app.go(next) };
  const current = currentOf(app.screens, state);
  const earlier = app.screens.indexOf(current) < app.screens.indexOf(screen) && current.step.key !== step.key;
  if (earlier) return { does: "first", words: say("first", { step: app.shortOf(current) }), go: null };
  if (!begun) {
    if (shut.length) return { does: "begin", words: say("waits_for", { gate: gateName(shut[0]) }), go: null };
    return { does: "begin", words: say("begin_ply", { n: ply.number }), go: () => app.tell([["started", { step: step.key }]]) };
  }
  const off = films.other ?? films.off.length;
  if (films.other === undefined && off < ply.films) return { does: "laid", words: say("films_left", { n: off, of: ply.films }), go: null };
  return {
    does: "laid",
    words: say("is_laid", { piece }),
    go: async () => {
      const data = { ply: ply.number, piece, films: off };
      const kit = state.kits[`${ply.number}/${piece}`];
      if (kit) data.kit = kit;
      const { angle } = app.draft(`lay/${screen.id}`);
      if (angle !== undefined) data.angle = angle;
      await app.tell([["laid", data]], { stay: true });
      app.goFrom(screen);
    },
  };
}

const filmsOf = (app, screen) => {
  const { off = [], other } = app.draft(`lay/${screen.id}`);
  return { off, other };
};

function filmToggles(app, screen, { off, other }) {
  const count = screen.ply.films;
  if (other !== undefined) {
    return [toggle("films-other", say("films_other", { n: other }), true, () => {
      const { other: _, ...rest } = app.draft(`lay/${screen.id}`);
      app.keepDraft(`lay/${screen.id}`, rest);
    })];
  }
  const set = (n, on) => {
    const now = app.draft(`lay/${screen.id}`);
    const others = (now.off ?? []).filter((k) => k !== n);
    return app.keepDraft(`lay/${screen.id}`, { ...now, off: on ? [...others, n] : others });
  };
  const names = count === 1 ? [say("film")] : count === 2 ? [say("film_tool"), say("film_bag")]
    : Array.from({ length: count }, (_, n) => say("film_n", { n: n + 1 }));
  return names.map((name, n) => toggle(`film-${n}`, name, off.includes(n), () => set(n, !off.includes(n))));
}

function picture(app, { ply, piece }) {
  const own = ply.pictures[piece] ?? Object.values(ply.pictures)[0];
  if (own) return h("div", { class: "seen" }, own.pictures.map((p) => drawing(p, `${say("lay_title", { n: ply.number, piece })}. ${arrowWords(ply)}`)));
  if (ply.flat) return drawing(ply.flat);
  const why = { drawing: "pictures_drawing", moved: "pictures_moved", gone: "pictures_gone" }[app.build.pictures];
  return app.build.pictures ? h("p", { class: "q missing" }, say(why ?? "pictures_none")) : "";
}

function arrowWords(ply) {
  if (ply.angle_deg === null || ply.angle_deg === undefined) return "";
  const angle = ply.angle_deg % 180;
  return angle === 0 ? say("arrow_line") : say("arrow_angle", { angle: `${String(angle).replace("-", "\u2212").replace(".", tongue.language === "de" ? "," : ".")}°` });
}

function sentences(app, { step, ply, piece }) {
  const own = ply.pictures[piece] ?? Object.values(ply.pictures)[0];
  const notes = own?.notes ?? [];
  const face = ply.face ? say(`face_${ply.face === "mould" ? "mould" : "bag"}`) : "";
  return h("div", { class: "words" },
    arrowWords(ply) ? h("p", {}, h("b", {}, arrowWords(ply))) : "", face ? h("p", {}, h("b", {}, face)) : "",
    step.do.length ? spoken("p", told(step.do[0])) : "",
    notes.length ? h("ol", {}, notes.map((n) => spoken("li", told(n)))) : "");
}

function underneath(state, { ply }) {
  const below = ply.number === 1 ? say("below_none") : ply.number === 2 ? say("below_one") : ply.number === 3 ? say("below_two") : say("below", { n: ply.number - 1 });
  const life = cloth(state, ply);
  const left = life === null ? "" : life.tack !== null && life.tack <= 0 ? say("tack_gone")
    : life.tack !== null ? say("tack_good", { time: duration(life.tack) }) : say("life_good", { time: duration(Math.max(life.life, 0)) });
  return h("div", { class: "under" },
    h("p", { class: "pairs q" }, h("span", {}, below), h("span", {}, left)),
    drawing(ply.section, `${say("section")}, ${below}`));
}

export function checkScreen(app, state, screen) {
  const { step, ply } = screen;
  const done = state.steps[step.key];
  const ticks = state.laid.filter((l) => l.ply === ply.number);
  const counted = ticks.reduce((sum, t) => sum + t.films, 0);
  const want = ply.films * ply.pieces.length;
  const own = boxesOf(app, step, { auto: (text) => FILM.test(text) && counted === want });
  return [
    ...title(say("check_title", { n: ply.number }), say("films_counted", { n: counted })),
    noticed(app), finishedLine(app, done),
    h("div", { class: "stack" }, own.nodes),
    h("div", { class: "body" }, underneath(state, screen)),
    noteLine(app, state, step),
    deck(app, { main: finishOf(app, state, screen, own, say("ply_done", { n: ply.number })) }),
  ];
}

export function finishedLine(app, done) {
  if (!done?.finished) return "";
  return h("p", { class: "sub" }, say("done_by", { at: clockTime(done.finished), who: (done.who ?? []).join(", ") }), " ",
    done.by ? h("button", { type: "button", class: "line", "data-key": "mistake", onclick: (event) => app.takeBack(done.by, event) }, say("mistake")) : "");
}

// The boxes of a step as ticks; one that the numbers answer ticks itself.
export function boxesOf(app, step, { auto = () => false } = {}) {
  const key = `boxes/${step.key}`;
  const draft = app.draft(key);
  const hand = new Set(draft.ticked ?? []);
  const done = app.state().steps[step.key];
  const ticked = step.boxes.map((box, n) => (done?.finished ? (done.boxes ?? []).includes(n) : hand.has(n) || auto(box.en)));
  const nodes = step.boxes.map((box, n) => {
    const words = told(box);
    return toggle(`box-${n}`, words.text, ticked[n], () => {
      if (done?.finished || auto(box.en)) return;
      const now = app.draft(key);
      const others = (now.ticked ?? []).filter((k) => k !== n);
      app.keepDraft(key, { ...now, ticked: ticked[n] ? others : [...others, n] });
    }, words.lang === tongue.language ? undefined : words.lang);
  });
  return { nodes, ticked: ticked.flatMap((on, n) => (on ? [n] : [])), open: ticked.filter((on) => !on).length };
}

// The main button of a step that is done, or that is not yet the next one.
export function passedOrEarlier(app, state, screen) {
  if (isDone(state, screen)) {
    const next = app.after(screen);
    return { does: "next", plain: true, words: say("on_to", { step: app.shortOf(next) }), go: () => app.go(next) };
  }
  const current = currentOf(app.screens, state);
  if (app.screens.indexOf(current) >= app.screens.indexOf(screen)) return null;
  return { does: "first", words: say("first", { step: app.shortOf(current) }), go: null };
}

// Finish a step with what is said at its end, and let its timer go: all of it is kept, or nothing.
export async function finished(app, screen, boxes, before = []) {
  const { step } = screen;
  const note = app.noteOf(step.key);
  const told = [...before, ["finished", { step: step.key, boxes, ...(note ? { note } : {}) }]];
  await app.tell(told, { stay: true, drafts: [timers.ended(app.build.build, step.key)] });
  app.goFrom(screen);
}

export function finishOf(app, state, screen, own, words, also = () => []) {
  const { step } = screen;
  const shut = passedOrEarlier(app, state, screen);
  if (shut) return shut;
  const note = app.noteOf(step.key);
  if (own.open && !note) return { does: "finish", words: say("tick_rest", { n: own.open }), go: null };
  return { does: "finish", words, go: () => finished(app, screen, own.ticked, also()) };
}
