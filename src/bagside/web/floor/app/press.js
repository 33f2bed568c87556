// Under vacuum: the debulk with its clock and gauge, and the leak test with two readings and the time between.

import { fits, gatesOf, stopping } from "./course.js";
import { asked, formButtons } from "./forms.js";
import { cautions, deck, gateName, gates, noteLine, noticed, taken, title } from "./frame.js";
import { drawing, h, spoken } from "./h.js";
import { asksFor, finished, finishedLine, passedOrEarlier } from "./lay.js";
import { amount, clockTime, countdown, say, told } from "./say.js";
import * as clock from "./clock.js";
import * as timers from "./timers.js";

const MORE = 300; // [s]
const LEAK = 600; // [s] between the two readings of a leak test

export function debulkScreen(app, state, screen) {
  const { step } = screen;
  const timer = app.timer(step.key);
  const begun = state.steps[step.key]?.started;
  const done = state.steps[step.key];
  const form = (state.forms[step.key] ?? []).find((f) => f.kind === "debulked");
  const draft = app.draft(`press/${step.key}`);
  const found = gatesOf(app.build, state, step, clock.now());
  const shut = stopping(found);
  const ply = app.build.plies.find((p) => p.number === step.after);
  const read = draft.pressure;
  const weak = form && read !== undefined && !fits(form, { pressure: read });
  const running = timer && !done?.finished;
  return [
    ...title(say("debulk_title"), say("after_ply", { n: step.after })),
    running ? clockFace(app, timer) : cautions(step, app.build.defers),
    noticed(app), finishedLine(app, done), begun || done?.finished ? "" : gates(found, app.ahead(screen, state)),
    begun || app.ahead(screen, state) ? "" : h("div", { class: "asks" }, formButtons(app, state, asksFor(state, step, shut).filter((f) => f.kind !== "debulked"))),
    h("div", { class: "body" },
      running ? [h("p", { class: "q" }, say("pressed_by_air")), airPresses()] : "",
      ply ? drawing(ply.section, say("section")) : "",
      h("div", { class: "words" },
        weak ? h("p", { class: "stop" }, say("too_weak", { limit: amount("pressure", form.fields[0].high, 0, app.build.ambient) })) : "",
        read !== undefined && !weak ? h("p", {}, h("b", {}, say("it_holds")), ` ${amount("pressure", read, 0, app.build.ambient)}`) : "",
        step.do.map((s) => spoken("p", told(s))))),
    running ? h("p", { class: "middle" }, h("button", { type: "button", class: "line", "data-key": "early", onclick: () => app.show("early") }, say("stop_early"))) : "",
    noteLine(app, state, step),
    begun || done?.finished ? "" : taken(found),
    deck(app, { before: running ? besideClock(app, step, form, read) : [], main: pressMain(app, state, screen, { timer, shut, form, read }) }),
  ];
}

export function clockFace(app, timer) {
  const figure = h("p", { class: "clock", role: "timer" });
  const bar = h("div", { class: "bar" }, h("i", {}));
  const words = h("p", { class: "pairs" }, h("span", {}, clockTime(timer.began)), h("b", {}, say("ends", { at: clockTime(timer.ends) })));
  const over = h("p", { class: "q" });
  app.live(() => {
    const left = timer.ends - clock.now();
    figure.textContent = countdown(left);
    bar.style.setProperty("--share", String(Math.min(1, Math.max(0, (clock.now() - timer.began) / (timer.ends - timer.began)))));
    over.textContent = left < 0 ? say("over_by", { time: countdown(-left) }) : "";
    if (left <= 0) timers.ring(timer.key + timer.ends);
    return left <= 0;
  });
  return h("div", { class: "time" }, figure, bar, words, over);
}

// The air presses on all of it: arrows over the section.
function airPresses() {
  const SVG = "http://www.w3.org/2000/svg";
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 0 350 30");
  svg.setAttribute("preserveAspectRatio", "xMidYMid meet");
  svg.setAttribute("class", "air");
  svg.setAttribute("aria-hidden", "true");
  const path = document.createElementNS(SVG, "path");
  path.setAttribute("d", [50, 100, 150, 200, 250, 300].map((x) => `M${x} 2V26M${x - 4} 19L${x} 27L${x + 4} 19`).join(""));
  svg.append(path);
  return svg;
}

function besideClock(app, step, form, read) {
  const ask = form ?? { id: "gauge", say: "gauge", name: "", data: {}, fields: [{ name: "pressure", quantity: "pressure", digits: 0, low: null, high: step.pressure, planned: null, say: "pressure" }] };
  return [
    h("button", {
      type: "button", class: `ask${read === undefined ? "" : " has"}`, "data-key": "gauge",
      onclick: () => asked(app, ask, ({ pressure }) => app.keepDraft(`press/${step.key}`, { ...app.draft(`press/${step.key}`), pressure })),
    }, h("span", {}, read === undefined ? say("gauge_reads") : say("gauge_read", { value: amount("pressure", read, 0, app.build.ambient) }))),
    h("button", { type: "button", "data-key": "more", onclick: (event) => app.press("more", event, () => longer(app, step)) }, say("more_time")),
  ];
}

const longer = (app, step) => {
  const timer = app.timer(step.key);
  return timer ? app.keep(timers.longer(timer, MORE)) : null;
};

function pressMain(app, state, screen, { timer, shut, read }) {
  const { step } = screen;
  const passed = passedOrEarlier(app, state, screen);
  if (passed) return passed;
  if (!timer) {
    const begun = state.steps[step.key]?.started;
    if (shut.length && !begun) return { does: "begin", words: say("waits_for", { gate: gateName(shut[0]) }), go: null };
    return {
      does: "begin",
      words: say("vacuum_on"),
      go: () => app.tell(begun ? [] : [["started", { step: step.key }]], { drafts: [timers.begun(app.build.build, step.key, step.wait)] }),
    };
  }
  const early = app.noteOf(step.key);
  if (timer.ends > clock.now() && !early) return { does: "finish", words: say("then", { step: app.shortOf(app.after(screen)) }), go: null };
  if (read === undefined) return { does: "finish", words: say("needs_gauge"), go: null };
  return {
    does: "finish",
    words: say("debulk_done"),
    go: () => {
      const seconds = Math.round((clock.now() - timer.began) / 1000);
      return finished(app, screen, step.boxes.map((_, n) => n), [["debulked", { after: step.after, seconds, pressure: read }]]);
    },
  };
}

export function leakScreen(app, state, screen) {
  const { step } = screen;
  const form = (state.forms[step.key] ?? []).find((f) => f.id === "leak");
  const draft = app.draft(`press/${step.key}`);
  const timer = app.timer(step.key);
  const done = state.steps[step.key];
  const begun = done?.started;
  const found = gatesOf(app.build, state, step, clock.now());
  const shut = stopping(found);
  const pressure = { quantity: "pressure", digits: 0, low: null, high: null, planned: null };
  const read = (name) => () => asked(app, { id: name, say: "gauge", name: "", data: {}, fields: [{ ...pressure, name, say: name }] },
    ({ [name]: value }) => {
      const key = `press/${step.key}`;
      const now = clock.now();
      const before = name === "start" ? {} : app.draft(key); // a new start is a new test
      const reading = app.draftOf(key, { ...before, [name]: value, [`${name}At`]: now });
      return app.keep(reading, ...(name === "start" ? [timers.begun(app.build.build, step.key, LEAK, now)] : []));
    });
  const said = (name) => (draft[name] === undefined ? say(`${name}_reads`) : amount("pressure", draft[name], 0, app.build.ambient));
  const whole = draft.start !== undefined && draft.end !== undefined;
  const minutes = whole ? Math.max((draft.endAt - draft.startAt) / 60000, 1 / 60) : 0;
  return [
    ...title(told(step.name).text, say("pump_shut")), cautions(step, app.build.defers), noticed(app), finishedLine(app, done),
    begun || done?.finished ? "" : gates(found),
    begun || done?.finished ? "" : h("div", { class: "asks" }, formButtons(app, state, asksFor(state, step, shut).filter((f) => f.id !== "leak"))),
    timer && draft.end === undefined && !done?.finished ? clockFace(app, timer) : "",
    h("div", { class: "words" }, step.do.map((s) => spoken("p", told(s))),
      whole ? h("p", {}, h("b", {}, say("leak_lost", { value: lost(draft), n: Math.round(minutes) }))) : ""),
    done?.finished || !begun ? "" : h("div", { class: "row pair in" },
      h("button", { type: "button", class: `ask${draft.start === undefined ? "" : " has"}`, "data-key": "start", onclick: read("start") }, say("start_reads").replace("…", ""), h("b", {}, draft.start === undefined ? "…" : said("start"))),
      h("button", { type: "button", class: `ask${draft.end === undefined ? "" : " has"}`, "data-key": "end", disabled: draft.start === undefined, onclick: read("end") }, say("end_reads").replace("…", ""), h("b", {}, draft.end === undefined ? "…" : said("end")))),
    noteLine(app, state, step),
    begun || done?.finished ? "" : taken(found),
    deck(app, { main: leakMain(app, state, screen, { form, draft, whole, begun, shut }) }),
  ];
}

const lost = ({ start, end }) => `${Math.round((end - start) / 100)} mbar`;

function leakMain(app, state, screen, { form, draft, whole, begun, shut }) {
  const { step } = screen;
  const passed = passedOrEarlier(app, state, screen);
  if (passed) return passed;
  if (!begun) {
    if (shut.length) return { does: "begin", words: say("waits_for", { gate: gateName(shut[0]) }), go: null };
    return { does: "begin", words: say("begin"), go: () => app.tell([["started", { step: step.key }]]) };
  }
  if (!whole) return { does: "finish", words: draft.start === undefined ? say("start_reads") : say("end_reads"), go: null };
  return {
    does: "finish",
    words: say("write_down"),
    go: () => {
      const seconds = Math.max(Math.round((draft.endAt - draft.startAt) / 1000), 1);
      const { limit: _, volume, ...data } = form?.data ?? { subject: app.build.build, found: "leak" };
      const measured = {
        ...data, ...(volume ? { volume } : {}), start: draft.start, end: draft.end, seconds, ambient: app.build.ambient,
        value: (draft.end - draft.start) / seconds,
      };
      return finished(app, screen, step.boxes.map((_b, n) => n), [["measured", measured]]);
    },
  };
}

