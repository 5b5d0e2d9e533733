// Keeps every file of the page, so that it opens on a fairground without signal.
//
// Each build has a cache of its own, filled before it takes over: files of two builds never mix.

// `cargo xtask page` writes the build's hash and list of files into this line.
const BUILD = { hash: "unbuilt", files: [] };

const PREFIX = "tober-page-";
const CACHE = PREFIX + BUILD.hash;

self.addEventListener("install", (event) => {
  const fill = async () => {
    const cache = await caches.open(CACHE);
    await cache.addAll(BUILD.files.map((file) => new Request(file, { cache: "no-cache" })));
    await self.skipWaiting();
  };
  event.waitUntil(fill());
});

self.addEventListener("activate", (event) => {
  const takeOver = async () => {
    const names = await caches.keys();
    const old = names.filter((name) => name.startsWith(PREFIX) && name !== CACHE);
    await Promise.all(old.map((name) => caches.delete(name)));
    await self.clients.claim();
  };
  event.waitUntil(takeOver());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || new URL(request.url).origin !== self.location.origin) return;
  const answer = async () => {
    const cache = await caches.open(CACHE);
    const kept = await cache.match(request, { ignoreSearch: true });
    return kept ?? fetch(request);
  };
  event.respondWith(answer());
});
