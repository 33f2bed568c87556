// What every step's screen has: the line of state, the thread, title, cautions first, what stops, and the deck of buttons.

import { arrowLeft, h, mark, spoken } from "./h.js";
import { link } from "./queue.js";
import { bounced } from "./presses.js";
import { clockTime, say, told } from "./say.js";

export function syncLine(app) {
  const refused = app.queue.filter((i) => i.state === "refused").length;
  const open = app.queue.filter((i) => i.state === "waiting").length;
  const words = !link.joined ? say("join_again")
    : refused ? say("refused", { n: refused })
      : open ? (open === 1 ? say("waiting_one") : say("waiting", { n: open }))
        : link.sentAt ? say("sent", { at: clockTime(link.sentAt) }) : say("nothing_sent");
  return h("button", { type: "button", class: "line", "data-key": "sync", onclick: () => app.show("queue") }, words);
}

export function head(app, number, of, done) {
  const share = of ? Math.min(done / of, 1) : 0;
  const thread = h("button", {
    type: "button", class: "thread", "data-key": "thread", "aria-label": say("all_steps"), onclick: () => app.show("steps"),
  }, h("i", { class: "gone" }), h("i", { class: "here" }));
  thread.style.setProperty("--share", String(share));
  return h("header", {},
    h("div", { class: "state" },
      h("button", { type: "button", class: "line", "data-key": "builds", onclick: () => app.show("builds") }, app.build.build),
      h("span", { class: "q" }, number ? say("step_of", { n: number, of }) : ""), syncLine(app)), thread);
}

export function title(words, sub, lang) {
  return [h("h1", { tabindex: "-1", lang }, words), sub ? h("p", { class: "sub" }, sub) : ""];
}

// Cautions to people come before everything else of a step, reversed.
export function cautions(step, defers) {
  if (!step.hazards?.length) return "";
  return h("div", { class: "caution", role: "note" },
    step.hazards.map((hazard) => h("p", {}, spoken("b", told(hazard.head)), " ", spoken("span", told(hazard.text)))),
    spoken("p", told(defers), { class: "defers" }));
}

// What stops a step: the gate's name, the fact with its number, why, what to do. Gates that hold say nothing.
// A look ahead shows the facts alone.
export function gates(found, ahead = false) {
  const shut = found.filter((g) => !g.open);
  if (!shut.length) return "";
  return h("div", { class: "gates" }, h("p", { class: "stop" }, say("stops")),
    shut.map((gate) => h("div", { class: "gate" },
      h("b", {}, say(`gate_${gate.key.replaceAll("-", "_")}`)),
      gate.said ? h("p", {}, gate.said) : spoken("p", told(gate.what)),
      ahead ? "" : [spoken("p", told(gate.why), { class: "q" }), spoken("p", told(gate.do))])));
}

// What somebody has taken on, or is not judged yet: it stops nothing, so it stands below the work.
export function taken(found) {
  const noted = found.filter((g) => g.open && (g.passed || (g.said && g.holds !== true)));
  return noted.length === 0 ? "" : h("div", { class: "gates taken" }, noted.map((gate) => h("p", { class: "q" }, h("b", {}, say(`gate_${gate.key.replaceAll("-", "_")}`)), " ",
      gate.passed ? say("passed_by", gate.passed) : gate.said)));
}

// The note of a step: where it is until it is sent, and to everybody once it is.
export function noteLine(app, state, step) {
  const sent = state.steps[step.key]?.note;
  const held = sent || app.noteOf(step.key);
  return held ? h("div", { class: "held" }, h("p", {}, h("b", {}, `${say("note")}: `), held), sent ? "" : h("p", { class: "q" }, say("note_here"))) : "";
}

export function gateName(gate) {
  return say(`gate_${gate.key.replaceAll("-", "_")}`);
}

// A choice that is on or off: a square before words, pressed when ticked. The second press of a glove that bounces is none.
export function toggle(key, words, on, press, lang) {
  const once = (event) => { if (!bounced(key, event)) press(); };
  return h("button", {
    type: "button", class: "tick", "data-key": key, "aria-pressed": String(on), onclick: once, lang: lang ?? null,
  }, mark(on), h("span", {}, words));
}

export function deck(app, { main: wanted, before = [], under }) {
  const { closed } = app.build.state;
  const main = closed && !wanted.plain ? { does: "nothing", words: say("closed", { verdict: say(`verdict_${closed}`) }), go: null } : wanted;
  app.main = main;
  const label = h("button", {
    type: "button", class: main.plain ? "go calm" : "go", "data-key": "main", "aria-disabled": main.go ? null : "true",
    onclick: (event) => app.mainPressed(main, event),
  }, main.words);
  if (main.lang) label.setAttribute("lang", main.lang);
  const back = h("button", {
    type: "button", class: "back", "data-key": "back", "aria-label": say("back"), onclick: () => app.back(),
  }, arrowLeft());
  const low = under ?? [
    h("button", { type: "button", "data-key": "photo", onclick: () => app.photo() }, say("photo")),
    h("button", { type: "button", "data-key": "note", onclick: () => app.show("note") }, say("note")),
    h("button", { type: "button", "data-key": "trouble", onclick: () => app.show("trouble") }, say("trouble")),
  ];
  return h("footer", { class: "deck" }, before.length ? h("div", { class: "row pair" }, before) : "",
    h("div", { class: "row main" }, back, label), low.length ? h("div", { class: "row" }, low) : "");
}

export function noticed(app) {
  const found = app.noticed.filter((n) => n.build === app.build.build);
  if (!found.length) return "";
  return h("div", { class: "noticed", role: "status" }, h("b", {}, say("noticed")),
    found.map((n) => h("p", { lang: "en" }, h("b", {}, n.what), `. ${n.why}; ${n.do}.`)),
    h("button", { type: "button", class: "line", "data-key": "seen", onclick: () => app.seen() }, say("seen")));
}
