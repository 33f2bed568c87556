// How a build stands: what the server said last, and on top of it what this device has said since. Pure functions.

import { amount, duration, say } from "./say.js";

export const READ_WITHIN = 4 * 3600e3; // [ms] a reading of the room counts so long while cloth is laid
const ANSWERED_BY = { thawed: "thaw", kit: "cut", release: "release" }; // a step whose boxes answer a gate

// The screens of a build: a ply has one for each piece and one for its boxes, any other step one.
export function screensOf(build) {
  const out = [];
  for (const step of build.steps) {
    if (step.kind !== "ply") {
      out.push({ id: step.key, type: step.kind === "debulk" || step.kind === "leak" ? step.kind : "step", step });
      continue;
    }
    const ply = build.plies.find((p) => p.number === step.ply);
    const seen = {};
    ply.pieces.forEach((piece, n) => {
      seen[piece] = (seen[piece] ?? 0) + 1;
      const of = ply.pieces.filter((p) => p === piece).length;
      out.push({ id: `${step.key}/${n}`, type: "lay", step, ply, piece, copy: seen[piece], copies: of });
    });
    out.push({ id: `${step.key}/check`, type: "check", step, ply });
  }
  out.push({ id: "end", type: "end", step: { key: "close", kind: "close", name: { en: "" } } });
  return out;
}

// The state after everything that waits in the queue, each event once however often it was sent.
export function standing(build, queue) {
  const state = structuredClone(build.state);
  state.local = [];
  state.unsent = new Set();
  const told = new Set([
    ...state.laid.map((l) => l.event), ...state.debulks.map((d) => d.event), ...state.measured.map((m) => m.event),
    ...state.bagged.map((b) => b.event), state.pulled?.event,
  ]);
  for (const item of queue) {
    if (item.build !== build.build || item.state === "refused") continue;
    if (item.state === "waiting") state.unsent.add(item.id);
    if (!told.has(item.id)) applied(state, item);
  }
  return state;
}

function applied(state, { id, kind, data, at, who }) {
  const step = state.steps[data.step];
  if (kind === "started" && step) step.started ??= at;
  else if (kind === "finished" && step) Object.assign(step, { finished: at, boxes: data.boxes, note: data.note ?? "", by: id });
  else if (kind === "laid") state.laid.push({ event: id, at, who, ply: data.ply, piece: data.piece, films: data.films });
  else if (kind === "debulked") state.debulks.push({ event: id, at, after: data.after, seconds: data.seconds, pressure: data.pressure });
  else if (kind === "measured") state.measured.push({ event: id, at, local: true, ...data });
  else if (kind === "bagged") state.bagged.push({ event: id, at, items: data.items ?? [] });
  else if (kind === "pulled") state.pulled = { event: id, at };
  else if (kind === "photo") state.photos[data.step] = (state.photos[data.step] ?? 0) + 1;
  else if (kind === "taken-back") takenBack(state, data.event);
  state.local.push({ id, kind, data, at });
}

function takenBack(state, event) {
  for (const list of ["laid", "debulks", "measured", "bagged"]) state[list] = state[list].filter((e) => e.event !== event);
  if (state.pulled?.event === event) state.pulled = null;
  for (const step of Object.values(state.steps)) {
    if (step.by === event) Object.assign(step, { finished: null, boxes: [], by: undefined });
  }
}

export function laidOf(state, screen) {
  const ticks = state.laid.filter((l) => l.ply === screen.ply.number && l.piece === screen.piece);
  return ticks[screen.copy - 1] ?? null;
}

export function isDone(state, screen) {
  if (screen.type === "end") return false;
  const step = state.steps[screen.step.key];
  if (step?.finished) return true;
  return screen.type === "lay" && laidOf(state, screen) !== null;
}

export function currentOf(screens, state) {
  return screens.find((s) => !isDone(state, s)) ?? screens[screens.length - 1];
}

// Gates before a step as they stand on this device. What the ticks answer is worked out here; what a number answers is
// held against the plan's limit here until the server has judged it; everything else stands as the server said last.
export function gatesOf(build, state, step, now) {
  if (step.key !== "close" && state.steps[step.key]?.started) return [];
  const found = [];
  for (const gate of state.gates[step.key] ?? []) {
    if (gate.passed) found.push({ ...gate, open: true });
    else if (gate.key === "films") found.push(filmsGate(build, state, step, gate));
    else if (gate.key === "debulk") found.push(debulkGate(build, state, step, gate));
    else found.push(otherGate(build, state, step, gate, now));
  }
  return found;
}

export const stopping = (gates) => gates.filter((g) => !g.open);

function upto(build, step) {
  const last = Math.max(0, ...build.plies.map((p) => p.number));
  return step.kind === "ply" ? step.ply - 1 : step.kind === "debulk" ? step.after : last;
}

function filmsGate(build, state, step, gate) {
  let counted = 0;
  for (const ply of build.plies.filter((p) => p.number <= upto(build, step))) {
    const ticks = state.laid.filter((l) => l.ply === ply.number);
    const left = [...ply.pieces];
    for (const tick of ticks) {
      const at = left.indexOf(tick.piece);
      if (at >= 0) left.splice(at, 1);
    }
    const have = ticks.reduce((sum, t) => sum + t.films, 0);
    const want = ply.films * ply.pieces.length;
    counted += have;
    if (left.length) return { ...gate, open: false, holds: null, said: say("films_gate_open", { n: ply.number, pieces: left.join(", ") }) };
    if (have !== want) return { ...gate, open: gate.holds === true, holds: false, said: say("films_gate_wrong", { n: ply.number, have, want }) };
  }
  return { ...gate, open: true, holds: true, said: say("films_gate_ok", { n: counted }) };
}

function debulkGate(build, state, step, gate) {
  let said = "";
  for (const due of build.steps.filter((s) => s.kind === "debulk" && s.after <= upto(build, step))) {
    const runs = state.debulks.filter((d) => d.after === due.after);
    const best = runs.reduce((a, d) => (a === null || d.seconds > a.seconds ? d : a), null);
    if (best === null) return { ...gate, open: gate.holds === true, holds: null, said: say("debulk_gate_none", { n: due.after }) };
    const good = runs.some((d) => d.seconds >= due.wait - 1 && (due.pressure === null || d.pressure <= due.pressure));
    const words = { n: due.after, have: duration(best.seconds), want: duration(due.wait) };
    if (!good) return { ...gate, open: gate.holds === true, holds: false, said: say("debulk_gate_short", words) };
    said = say("debulk_gate_ok", { n: due.after, time: duration(best.seconds), pressure: amount("pressure", best.pressure, 0, build.ambient) });
  }
  return { ...gate, open: true, holds: true, said };
}

function otherGate(build, state, step, gate, now) {
  const read = lastReading(state, { data: { found: "climate" } });
  if (gate.key === "room" && gate.holds && read && now - Date.parse(read.at) > READ_WITHIN) {
    return { ...gate, open: false, holds: null, said: say("room_old") };
  }
  const forms = (state.forms[step.key] ?? []).filter((f) => f.gate === gate.key);
  const answers = forms.map((f) => [f, answerOf(state, f)]);
  const fresh = answers.some(([, a]) => a?.local);
  if (!gate.holds && fresh && forms.length && answers.every(([, a]) => a !== null)) {
    const wrong = answers.find(([f, a]) => !fits(f, a));
    const said = say("gate_not_sent");
    return wrong ? { ...gate, open: false, holds: false } : { ...gate, open: true, holds: null, said };
  }
  const by = ANSWERED_BY[gate.key];
  if (gate.holds === null && by && state.local.some((e) => e.kind === "finished" && e.data.step === by)) {
    return { ...gate, open: true, said: say("gate_not_sent") };
  }
  return { ...gate, open: gate.holds === true };
}

// The last reading that answers a form; null when there is none.
export function answerOf(state, form) {
  if (form.kind === "measured") return lastReading(state, form);
  const found = state.local.filter((e) => e.kind === form.kind && Object.entries(form.data).every(([k, v]) => e.data[k] === v));
  const last = found[found.length - 1];
  if (last) return { ...last.data, at: last.at, local: true };
  if (form.kind === "debulked") return state.debulks.filter((d) => d.after === form.data.after).pop() ?? null;
  return form.kind === "bagged" ? state.bagged[state.bagged.length - 1] ?? null : null;
}

function lastReading(state, form) {
  const { found, stage = null, place = "" } = form.data;
  const all = state.measured.filter((m) => m.found === found && (m.stage ?? null) === stage && (m.place ?? "") === place);
  return all[all.length - 1] ?? null;
}

export function fits(form, answer) {
  if (form.data.limit && answer.value > form.data.limit) return false;
  return form.fields.every(({ name, low, high }) => {
    const value = answer[name];
    return value === undefined || ((low === null || value >= low) && (high === null || value <= high));
  });
}

export function cloth(state, ply) {
  return state.cloth[ply.material] ?? null;
}
