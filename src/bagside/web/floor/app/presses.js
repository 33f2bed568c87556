// Presses by gloves: none is lost, and one that bounces counts once.

export const SETTLES = 250; // [ms] in which the same press again is a bounce, and a new screen takes none

let shown = -SETTLES; // when the screen in sight was seen first
const last = new Map(); // when each thing was pressed, by the clock of the events
const under = new Set(); // what is being worked off
let line = Promise.resolve();

// When a press happened, which on a busy phone is well before it is heard of.
export const momentOf = (event) => event?.timeStamp ?? performance.now();

// A new screen takes no press until it has been seen for a moment: a glove that bounces must not press what has just
// come under it. What was pressed after that counts, however late it is heard of; keys do not bounce.
export function settles(root) {
  shown = Infinity;
  root.setAttribute("data-settling", "");
  requestAnimationFrame((at) => {
    shown = at;
    setTimeout(() => { if (performance.now() - shown >= SETTLES) root.removeAttribute("data-settling"); }, SETTLES + 10);
  });
}

export const tooSoon = (event) => event.detail > 0 && event.timeStamp - shown < SETTLES;

// Whether a press is the second of a glove that bounced.
export function bounced(key, event) {
  const at = momentOf(event);
  const before = last.get(key) ?? -SETTLES;
  if (at - before < SETTLES) return true;
  last.set(key, at);
  return false;
}

// Work presses off one after the other. The same one again before it is done is none; one that failed may be pressed
// again at once.
export function inLine(key, event, work, failed) {
  if (under.has(key) || bounced(key, event)) return;
  under.add(key);
  line = line.then(work).catch((error) => { last.delete(key); failed(error); }).finally(() => under.delete(key));
}
