// The time that counts is the server's: a phone that is wrong by minutes would put ticks before what they follow.
// How far the device's clock is off is measured at each answer and kept; without an answer the last one holds.

import * as store from "./store.js";

let off = 0;
let last = 0;

export async function wound() {
  off = await store.kept("clock-off", 0);
  last = await store.kept("clock-last", 0);
}

export const now = () => Date.now() + off;

export function heard(serverNow, asked, answered) {
  const half = (asked + answered) / 2;
  if (answered - asked > 8000) return; // too slow an answer tells nothing
  const found = Date.parse(serverNow) - half;
  if (Math.abs(found - off) > 500) {
    off = found;
    store.keep("clock-off", off);
  }
}

// Moments of events never go back and never repeat, so that their order is that in which they happened. The last one
// is kept with the events themselves.
export function stamped(count) {
  const moments = [];
  for (let n = 0; n < count; n += 1) {
    last = Math.max(Math.round(now()), last + 1);
    moments.push(new Date(last).toISOString());
  }
  return { moments, kept: store.putting("kept", { key: "clock-last", value: last }) };
}

export function zone() {
  try {
    return Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";
  } catch {
    return "UTC";
  }
}
