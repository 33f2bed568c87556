// What is half done: boxes, films, readings, notes, timers. The next press reads what this one set, so a press counts
// before the disk has it; it is drawn when it has.

import * as store from "./store.js";

let held = new Map();
const written = new Map(); // when each was set last, counted
let writes = 0;

export const get = (key) => held.get(key);

// Keep several at once, with whatever else is written with them: all or none. One that is `gone` is dropped.
export async function keep(values, write = store.write) {
  const before = values.map(({ key }) => held.get(key));
  const mine = ++writes;
  for (const value of values) {
    set(value.key, value.gone ? undefined : value);
    written.set(value.key, mine);
  }
  try {
    await write(values.map((v) => (v.gone ? store.dropping("drafts", v.key) : store.putting("drafts", v))));
  } catch (error) {
    values.forEach(({ key }, n) => { if (written.get(key) === mine) set(key, before[n]); });
    throw error;
  }
}

function set(key, value) {
  if (value === undefined) held.delete(key);
  else held.set(key, value);
}

// What the disk has, but for what was set while it was read.
export async function read() {
  const since = writes;
  const found = new Map((await store.all("drafts")).map((d) => [d.key, d]));
  for (const [key, at] of written) {
    if (at <= since) continue;
    if (held.has(key)) found.set(key, held.get(key));
    else found.delete(key);
  }
  held = found;
}
