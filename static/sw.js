// @ts-check
// Keeps the lane and call screens loading with the server dead. The server writes the version and the list of files in here, so
// that new files make new bytes; everything else of the site (the API, pairing, the desk) goes to the network and nowhere else.

const VERSION = "__VERSION__";
const ASSETS = /** @type {any} */ ("__ASSETS__");
const SHELLS = ["/lane", "/call"];
const CACHE = `lane-ledger-${VERSION}`;

const worker = /** @type {any} */ (self);

worker.addEventListener("install", (/** @type {any} */ event) => event.waitUntil(fill()));

worker.addEventListener("activate", (/** @type {any} */ event) => event.waitUntil(begin()));

// A new version replaces no screen by itself: a page says when it can spare a moment.
worker.addEventListener("message", (/** @type {any} */ event) => {
  if (event.data?.type === "take-over") worker.skipWaiting();
});

worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (request.mode === "navigate" && SHELLS.includes(url.pathname)) event.respondWith(shell(request, url.pathname));
  else if (ASSETS.includes(url.pathname)) event.respondWith(asset(request, url.pathname));
});

async function fill() {
  const cache = await caches.open(CACHE);
  // "reload": never a file of an older version out of the browser's own cache
  const files = ASSETS.filter((/** @type {string} */ path) => !SHELLS.includes(path));
  await cache.addAll(files.map((/** @type {string} */ path) => new Request(path, { cache: "reload" })));
  await Promise.all(SHELLS.map((path) => keepShell(cache, path).catch(() => {})));
}

/**
 * A screen is kept only as a paired tablet gets it, and only if it asks for this version's files.
 * @param {Cache} cache
 * @param {string} path
 */
async function keepShell(cache, path) {
  const response = await fetch(new Request(path, { cache: "reload", credentials: "same-origin" }));
  await keepIfOurs(cache, path, response);
}

/** @param {Cache} cache @param {string} path @param {Response} response */
async function keepIfOurs(cache, path, response) {
  if (!response.ok || response.redirected) return;
  const text = await response.clone().text();
  if (text.includes(`/static/${VERSION}/`)) await cache.put(path, response.clone());
}

async function begin() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith("lane-ledger-") && name !== CACHE).map((name) => caches.delete(name)));
  await worker.clients.claim();
}

/** @param {Request} request @param {string} path */
async function shell(request, path) {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(path);
  if (kept) return kept;
  const response = await fetch(request);
  await keepIfOurs(cache, path, response);
  return response;
}

/** @param {Request} request @param {string} path */
async function asset(request, path) {
  const cache = await caches.open(CACHE);
  return (await cache.match(path)) ?? fetch(request);
}
