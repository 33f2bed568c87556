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

async function done(name, mode, work) {
  const db = await opened();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(name, mode, mode === "readwrite" ? { durability: "strict" } : {});
    const request = work(transaction.objectStore(name));
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

export const get = (name, key) => done(name, "readonly", (s) => s.get(key));
export const all = (name) => done(name, "readonly", (s) => s.getAll());
export const put = (name, value) => done(name, "readwrite", (s) => s.put(value));
export const drop = (name, key) => done(name, "readwrite", (s) => s.delete(key));

export async function kept(key, otherwise = null) {
  return (await get("kept", key))?.value ?? otherwise;
}

export const keep = (key, value) => put("kept", { key, value });
