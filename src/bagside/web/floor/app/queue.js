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
const underWay = new Set(); // ids that are on their way: the server may have them
let attempt = 0;
let timer = null;

export const listen = (heard) => listeners.add(heard);
const tell = (what, extra) => listeners.forEach((heard) => heard(what, extra));
let linked = "";

// The link is told of when it is another than before: a page that is drawn for nothing is slow.
function tellLink() {
  const now = JSON.stringify(link);
  if (now === linked) return;
  linked = now;
  tell("link");
}

export async function begin() {
  device = await store.kept("device", "");
  if (!device) {
    device = newDevice();
    await store.keep("device", device);
  }
  link.sentAt = await store.kept("sent-at", null);
  addEventListener("online", () => soon(0));
  addEventListener("offline", () => { link.online = false; tellLink(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) soon(0); });
  soon(0);
}

export async function waiting() {
  return store.all("queue");
}

// Several events that belong together, and what else is kept with them: one write.
export async function add(build, events, who, changes = []) {
  const { moments, kept } = clock.stamped(events.length);
  const zone = clock.zone();
  const items = events.map((event, n) => ({ id: newId(), build, ...event, at: moments[n], zone, who, state: "waiting" }));
  await store.write([...items.map((item) => store.putting("queue", item)), kept, ...changes]);
  tell("queue");
  soon(0);
}

export const isUnderWay = (item) => underWay.has(item.id);

export async function remove(item, changes = []) {
  await store.write([store.dropping("queue", item.seq), ...changes]);
  tell("queue");
}

export async function again(item) {
  await store.put("queue", { ...item, state: "waiting", said: [] });
  tell("queue");
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
      batch.forEach((item) => underWay.add(item.id));
      const answered = photo ? await sentPhoto(batch[0]) : await sentEvents(batch);
      if (answered === null) { failed = true; break; }
      const known = new Map(answered.map((a) => [a.id, a]));
      const heard = batch.filter((item) => known.has(item.id)).map((item) => item.seq);
      if (!heard.length) { failed = true; break; }
      const at = clock.now();
      await store.change("queue", heard, (item) => answeredWith(item, known.get(item.id)),
        [store.putting("kept", { key: "sent-at", value: at })]);
      underWay.clear();
      link.sentAt = at;
      tell("answered", { answers: answered, builds: [...new Set(batch.map((i) => i.build))] });
    }
  } catch (error) {
    failed = true;
    link.said = String(error?.message ?? error);
  } finally {
    sending = false;
    underWay.clear();
  }
  attempt = failed ? attempt + 1 : 0;
  if (failed) soon(PAUSES[Math.min(attempt - 1, PAUSES.length - 1)]);
  tellLink();
}

function answeredWith(item, { answer, said, noticed }) {
  if (answer === "refused") return { ...item, state: "refused", said };
  const { blob: _, ...rest } = item;
  return { ...rest, state: "sent", noticed };
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
    tellLink();
  }
}
