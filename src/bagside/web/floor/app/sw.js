// Keeps the page itself on the device, so that it opens without the network. Only in a secure context. It never keeps
// or answers what belongs to the records: builds and the queue are the page's own business.

const NAME = "bagside-floor-@VERSION@";
const FILES = @FILES@;
const PATIENCE = 3000; // [ms] for the network before the kept page is shown

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(NAME);
    await cache.addAll(FILES.map((file) => new Request(file, { cache: "reload", redirect: "error" })));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("bagside-floor-") && name !== NAME) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname } = new URL(request.url);
  if (request.method !== "GET") return;
  if (request.mode === "navigate" && (pathname === "/floor" || pathname.startsWith("/floor/b/"))) {
    event.respondWith(page(request));
  } else if (FILES.includes(pathname)) {
    event.respondWith(file(request, pathname));
  }
});

async function page(request) {
  const cache = await caches.open(NAME);
  const kept = await cache.match("/floor");
  if (!kept) return fetch(request);
  const stop = new AbortController();
  const late = setTimeout(() => stop.abort(), PATIENCE);
  try {
    return await fetch(request.url, { credentials: "same-origin", redirect: "manual", signal: stop.signal });
  } catch {
    return kept;
  } finally {
    clearTimeout(late);
  }
}

async function file(request, pathname) {
  const cache = await caches.open(NAME);
  return (await cache.match(pathname)) ?? fetch(request);
}
