// The queue: what was ticked waits here until the server has answered for it, in the order in which it happened.
// The server knows each id, so sending twice does no harm; what it refuses stays until a person decides.

import * as clock from "./clock.js";
import { newDevice, newId } from "./ids.js";
import * as store from "./store.js";

const AT_ONCE = 50;
const PAUSES = [1, 2, 4, 8, 15]; // [s] between attempts
const PATIENCE = 20000; // [ms] for an answer

export const link = { online: true, joined: true, sentAt: null, said: "" };
const listeners = new Set();
let device = "";
let sending = false;
let attempt = 0;
let timer = null;

export const listen = (heard) => listeners.add(heard);
const tell = (what, extra) => listeners.forEach((heard) => heard(what, extra));

export async function begin() {
  device = await store.kept("device", "");
  if (!device) {
    device = newDevice();
    await store.keep("device", device);
  }
  link.sentAt = await store.kept("sent-at", null);
  addEventListener("online", () => soon(0));
  addEventListener("offline", () => { link.online = false; tell("link"); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) soon(0); });
  soon(0);
}

export async function waiting() {
  return store.all("queue");
}

export async function add(build, kind, data, who, more = {}) {
  const item = { id: newId(), build, kind, data, at: await clock.stamp(), zone: clock.zone(), who, state: "waiting", ...more };
  item.seq = await store.put("queue", item);
  tell("added", item);
  soon(0);
  return item;
}

export async function remove(item) {
  await store.drop("queue", item.seq);
  tell("removed", item);
}

export async function again(item) {
  await store.put("queue", { ...item, state: "waiting", said: [] });
  tell("added", item);
  soon(0);
}

export function soon(seconds) {
  clearTimeout(timer);
  timer = setTimeout(flush, seconds * 1000);
}

export async function flush() {
  if (sending) return;
  sending = true;
  let failed = false;
  try {
    for (;;) {
      const open = (await store.all("queue")).filter((i) => i.state === "waiting");
      if (!open.length) break;
      const photo = open[0].kind === "photo";
      const upto = photo ? 1 : open.findIndex((i) => i.kind === "photo");
      const batch = open.slice(0, photo ? 1 : Math.min(upto < 0 ? open.length : upto, AT_ONCE));
      const answered = photo ? await sentPhoto(batch[0]) : await sentEvents(batch);
      if (answered === null) { failed = true; break; }
      const known = new Map(answered.map((a) => [a.id, a]));
      let heard = 0;
      for (const item of batch) {
        const answer = known.get(item.id);
        if (answer === undefined) continue;
        heard += 1;
        if (answer.answer === "refused") await store.put("queue", { ...item, state: "refused", said: answer.said });
        else await store.put("queue", { ...item, state: "sent", blob: undefined, noticed: answer.noticed });
      }
      if (!heard) { failed = true; break; }
      link.sentAt = clock.now();
      await store.keep("sent-at", link.sentAt);
      tell("answered", { answers: answered, builds: [...new Set(batch.map((i) => i.build))] });
    }
  } catch (error) {
    failed = true;
    link.said = String(error?.message ?? error);
  } finally {
    sending = false;
  }
  attempt = failed ? attempt + 1 : 0;
  if (failed) soon(PAUSES[Math.min(attempt - 1, PAUSES.length - 1)]);
  tell("link");
}

async function sentEvents(batch) {
  const events = batch.map(({ id, kind, data, at, zone, who }) => ({ id, kind, data, at, zone, who }));
  const body = JSON.stringify({ device, events });
  return answersOf(await asked("/floor/events", { method: "POST", body, headers: { "Content-Type": "application/json" } }));
}

async function sentPhoto(item) {
  const told = { id: item.id, build: item.build, at: item.at, zone: item.zone, who: item.who, device, ...item.data };
  const address = `/floor/photo?${new URLSearchParams(told)}`;
  const headers = { "Content-Type": item.blob?.type || "image/jpeg" };
  const answer = await asked(address, { method: "POST", body: item.blob, headers });
  if ([413, 415, 422].includes(answer?.status)) return [{ id: item.id, answer: "refused", said: [answer.said], noticed: [] }];
  return answersOf(answer);
}

const answersOf = (answer) => (answer?.ok ? answer.data.answers : null);

// One request: null when nothing came back. What the server says is kept for the line at the top.
export async function asked(address, options = {}) {
  const begun = Date.now();
  const stop = new AbortController();
  const late = setTimeout(() => stop.abort(), PATIENCE);
  try {
    const response = await fetch(address, { cache: "no-store", credentials: "same-origin", signal: stop.signal, ...options });
    const data = await response.json().catch(() => null);
    link.online = true;
    link.joined = response.status !== 401;
    const said = data?.now ?? data?.state?.now;
    if (said) clock.heard(said, begun, Date.now());
    link.said = response.ok ? "" : (data?.problems?.[0]?.said ?? `${response.status}`);
    return { ok: response.ok && data !== null, status: response.status, data, said: link.said };
  } catch {
    link.online = false;
    return null;
  } finally {
    clearTimeout(late);
    tell("link");
  }
}
