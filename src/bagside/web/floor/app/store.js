// What the device keeps, in IndexedDB: whole builds, the queue, what is half done, and a few choices.
// Every write is awaited until it is on the disk: a tick that is shown is a tick that is kept.

const STORES = { builds: "build", queue: "seq", drafts: "key", kept: "key" };
let opening = null;

function opened() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open("bagside-floor", 1);
    request.onupgradeneeded = () => {
      for (const [name, path] of Object.entries(STORES)) {
        request.result.createObjectStore(name, { keyPath: path, autoIncrement: name === "queue" });
      }
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => { request.result.close(); opening = null; };
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("blocked"));
  });
  opening.catch(() => { opening = null; });
  return opening;
}

// One transaction over the stores named: all of it is on the disk, or nothing.
async function done(names, mode, work) {
  const db = await opened();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(names, mode, mode === "readwrite" ? { durability: "strict" } : {});
    let requests = [];
    transaction.oncomplete = () => resolve(requests.map((request) => request.result));
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
    try {
      requests = work((name) => transaction.objectStore(name));
    } catch (error) {
      reject(error);
      transaction.abort();
    }
  });
}

export const get = async (name, key) => (await done([name], "readonly", (s) => [s(name).get(key)]))[0];
export const all = async (name) => (await done([name], "readonly", (s) => [s(name).getAll()]))[0];

export const putting = (into, value) => ({ into, value });
export const dropping = (into, key) => ({ into, key });

// Changes that belong together, as one: a page that dies in between leaves none of them.
export function write(changes) {
  if (!changes.length) return [];
  return done([...new Set(changes.map((c) => c.into))], "readwrite",
    (s) => changes.map(({ into, value, key }) => (value === undefined ? s(into).delete(key) : s(into).put(value))));
}

export const put = async (name, value) => (await write([putting(name, value)]))[0];

// Change what is still there; what was dropped meanwhile stays dropped.
export function change(name, keys, changed, changes = []) {
  return done([...new Set([name, ...changes.map((c) => c.into)])], "readwrite", (s) => {
    for (const { into, value } of changes) s(into).put(value);
    return keys.map((key) => {
      const request = s(name).get(key);
      request.onsuccess = () => { if (request.result !== undefined) s(name).put(changed(request.result)); };
      return request;
    });
  });
}

export async function kept(key, otherwise = null) {
  return (await get("kept", key))?.value ?? otherwise;
}

export const keep = (key, value) => put("kept", { key, value });
