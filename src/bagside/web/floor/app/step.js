// Any other step: cautions, what to do, its numbers, its boxes; and the end of the build.

import { currentOf, gatesOf, stopping, answerOf } from "./course.js";
import { chosenOf, formButtons } from "./forms.js";
import { cautions, deck, gateName, gates, noteLine, noticed, taken, title } from "./frame.js";
import { drawing, h, spoken } from "./h.js";
import { boxesOf, finishOf, finishedLine, passedOrEarlier } from "./lay.js";
import { clockFace } from "./press.js";
import { clockTime, say, told, tongue } from "./say.js";
import * as clock from "./clock.js";
import * as timers from "./timers.js";

const HELD = new Set(["hold"]); // steps that last as long as they are planned to
const TIMED = new Set(["hold", "cure", "post-cure", "thaw", "release", "bond", "fill", "coat"]);
const FORMS = { // boxes that a number answers
  "raw mass written": "mass_raw", "trimmed mass written": "mass_trimmed", "finished mass written": "mass_finished",
  "release coat and time written": "release", "°C and % written": "climate", "water break held": "water_break",
};

export function stepScreen(app, state, screen) {
  const { step } = screen;
  const done = state.steps[step.key];
  const begun = done?.started;
  const found = gatesOf(app.build, state, step, clock.now());
  const shut = stopping(found);
  const forms = state.forms[step.key] ?? [];
  const answered = new Set(forms.filter((f) => answerOf(state, f) !== null).map((f) => f.id));
  const own = boxesOf(app, step, { auto: (text) => answered.has(FORMS[text]) });
  const timer = app.timer(step.key);
  const running = timer && begun && !done?.finished;
  const name = told(step.name);
  return [
    ...title(name.text, "", name.lang === tongue.language ? null : name.lang),
    cautions(step, app.build.defers), noticed(app), finishedLine(app, done),
    begun || done?.finished ? "" : gates(found, app.ahead(screen, state)),
    running ? (HELD.has(step.kind) ? clockFace(app, timer) : h("p", { class: "sub" }, say("ready_at", { at: clockTime(timer.ends) }))) : "",
    h("div", { class: "words" }, step.do.map((s) => spoken("p", told(s))),
      step.key === "cure" || step.key === "post-cure" ? h("p", { class: "q" }, say("cure_why")) : ""),
    step.key === "bag" && app.build.bag ? drawing(app.build.bag) : "",
    done?.finished || app.ahead(screen, state) ? "" : h("div", { class: "asks" }, formButtons(app, state, begun ? forms : forms.filter((f) => shut.some((g) => g.key === f.gate)))),
    begun ? h("div", { class: "stack" }, own.nodes) : "",
    running && HELD.has(step.kind) ? h("p", { class: "middle" }, h("button", { type: "button", class: "line", "data-key": "early", onclick: () => app.show("early") }, say("stop_early"))) : "",
    noteLine(app, state, step),
    begun || done?.finished ? "" : taken(found),
    deck(app, { main: mainOf(app, state, screen, { begun, shut, own, timer, forms }) }),
  ];
}

function mainOf(app, state, screen, { begun, shut, own, timer, forms }) {
  const { step } = screen;
  const passed = passedOrEarlier(app, state, screen);
  if (passed) return passed;
  if (!begun) {
    if (shut.length) return { does: "begin", words: say("waits_for", { gate: gateName(shut[0]) }), go: null };
    const timed = TIMED.has(step.kind) && step.wait > 0;
    return {
      does: "begin",
      words: say("begin"),
      go: () => app.tell([["started", { step: step.key }]], { drafts: timed ? [timers.begun(app.build.build, step.key, step.wait)] : [] }),
    };
  }
  if (HELD.has(step.kind) && timer && timer.ends > clock.now() && !app.noteOf(step.key)) {
    return { does: "finish", words: say("then", { step: app.shortOf(app.after(screen)) }), go: null };
  }
  return finishOf(app, state, screen, own, say("step_done"), () => toldAtTheEnd(app, state, step, forms));
}

// What a step says of itself when it is done, beside that it is.
function toldAtTheEnd(app, state, step, forms) {
  if (step.key === "bag") {
    const form = forms.find((f) => f.id === "bagged");
    return [["bagged", { items: form ? chosenOf(app, state, form) : [] }]];
  }
  if (step.key !== "demould") return [];
  const warm = forms.find((f) => f.id === "demould");
  const read = warm ? answerOf(state, warm) : null;
  return [["pulled", { mould: app.build.mould, ...(read ? { temperature: read.value } : {}) }]];
}

export function endScreen(app, state, screen) {
  const found = gatesOf(app.build, state, screen.step, clock.now());
  const shut = stopping(found);
  const current = currentOf(app.screens, state);
  const words = state.closed ? say("closed", { verdict: say(`verdict_${state.closed}`) }) : say("end_title");
  const main = current !== screen && !state.closed ? { does: "first", words: say("first", { step: app.shortOf(current) }), go: null }
    : { does: "leave", plain: true, words: say("to_builds"), go: () => app.show("builds") };
  return [...title(words, say("end_why")), noticed(app), shut.length ? gates(found) : "", deck(app, { main })];
}
