// @ts-check
// Keeps the lane, call, coach and platform screens, and the one that judges from video, loading with the server dead. The server writes
// in here the version and, for each file, the hash of its content; new content makes new bytes of this script. Everything else of the
// site (the API, pairing, trust, the desk) goes to the network and nowhere else. Briefs come from the desk while it answers, and are
// kept for when it does not.

const VERSION = "__VERSION__";
/** Path to SHA-256 in hex. @type {Record<string, string>} */
const ASSETS = /** @type {any} */ ("__ASSETS__");
const SHELLS = ["/lane", "/call", "/coach", "/platform", "/platform/call", "/review/video"];
const OURS = "lane-ledger-";
const CACHE = `${OURS}${VERSION}`;
const BRIEF_MS = 2500; // how long the desk may take to answer before the brief of last time is shown
const ANSWER_MS = 3000; // a screen that says nothing in this time sleeps, and nobody knows what it is in the middle of
const LOADING_MS = 3000; // a screen that was asked for so lately may be loading, and is not among those that can be asked

const worker = /** @type {any} */ (self);
let screenAskedAt = -Infinity; // one that began since is taken to have served none: where idle workers are ended soon, no new version would come in

worker.addEventListener("install", (/** @type {any} */ event) => event.waitUntil(fill()));

worker.addEventListener("activate", (/** @type {any} */ event) => event.waitUntil(begin()));

// A new version replaces no screen by itself: a screen says when it can spare a moment, and then every screen of this browser is asked.
worker.addEventListener("message", (/** @type {any} */ event) => {
  if (event.data?.type === "take-over") event.waitUntil(takeOver());
  if (event.data?.type === "is-a-screen-loading") event.ports[0].postMessage(performance.now() - screenAskedAt < LOADING_MS);
});

worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  const screen = request.mode === "navigate" && SHELLS.includes(url.pathname);
  if (screen) screenAskedAt = performance.now();
  if (screen || Object.hasOwn(ASSETS, url.pathname)) event.respondWith(answer(request, url.pathname));
  else if (isBrief(url.pathname)) event.respondWith(brief(event, url.pathname));
});

/** All of a version, or nothing: a part that is missing or of another version ends this install, and the version before goes on. */
async function fill() {
  const cache = await caches.open(CACHE);
  try {
    await Promise.all([...Object.entries(ASSETS).map(([path, hash]) => keepFile(cache, path, hash)), ...SHELLS.map((path) => keepShell(cache, path))]);
  } catch (wrong) {
    await caches.delete(CACHE);
    throw wrong;
  }
}

/** @param {Cache} cache @param {string} path @param {string} hash */
async function keepFile(cache, path, hash) {
  const response = await whole(path);
  const digest = await crypto.subtle.digest("SHA-256", await response.clone().arrayBuffer());
  const found = [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  if (found !== hash) throw new Error(`${path} is of another version`);
  await cache.put(path, response);
}

/** A screen is kept only if it asks for this version's files. @param {Cache} cache @param {string} path */
async function keepShell(cache, path) {
  const response = await whole(path);
  if (!(await isOurs(response))) throw new Error(`${path} is of another version`);
  await cache.put(path, response);
}

/** @param {string} path @returns {Promise<Response>} never one out of the browser's own cache, which may be older */
async function whole(path) {
  const response = await fetch(new Request(path, { cache: "reload", credentials: "same-origin" }));
  if (!response.ok || response.redirected) throw new Error(`${path} could not be fetched`);
  return response;
}

/** @param {Response} response */
async function isOurs(response) {
  return (await response.clone().text()).includes(`/static/${VERSION}/`);
}

async function begin() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(OURS) && name !== CACHE).map((name) => caches.delete(name)));
  await worker.clients.claim();
}

/**
 * Takes over when every lane and call screen of this browser can spare a moment; then all of them change together. Nobody can ask a
 * screen that is just loading: the worker that serves it knows, and is asked before the screens and after.
 */
async function takeOver() {
  if ((await nobodyLoads()) && (await allCanSpare()) && (await nobodyLoads())) await worker.skipWaiting();
}

/** Whether the worker that serves the screens was asked for none lately; one of a version before this question says nothing to it. */
async function nobodyLoads() {
  const { active } = worker.registration;
  return !active || !(await said(active, "is-a-screen-loading"));
}

/** Whether every screen of this browser can spare a moment; one that says nothing sleeps. */
async function allCanSpare() {
  const clients = await worker.clients.matchAll({ type: "window", includeUncontrolled: true });
  const screens = clients.filter((/** @type {any} */ client) => SHELLS.includes(new URL(client.url).pathname));
  const answers = await Promise.all(screens.map((/** @type {any} */ screen) => said(screen, "can-you-spare-a-moment")));
  return answers.every(Boolean);
}

/** Whether another says yes to a question; who says nothing does not. @param {any} other @param {string} type @returns {Promise<boolean>} */
function said(other, type) {
  const { port1, port2 } = new MessageChannel();
  return new Promise((resolve) => {
    port1.onmessage = (event) => resolve(event.data === true);
    setTimeout(resolve, ANSWER_MS, false);
    other.postMessage({ type }, [port2]);
  });
}

/** What is kept, at once; else, where the browser has thrown it away, the network. @param {Request} request @param {string} path */
async function answer(request, path) {
  const cache = await caches.open(CACHE);
  return (await cache.match(path)) ?? fetch(request);
}

/** @param {string} path */
function isBrief(path) {
  return path === "/brief" || (path.startsWith("/brief/") && !path.endsWith(".json"));
}

/** The desk's own answer if it comes soon, and it is kept; else the one of last time. @param {any} event @param {string} path */
async function brief(event, path) {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(path);
  const asked = fetch(event.request).then(async (response) => {
    if (response.ok && !response.redirected && (await isOurs(response))) await cache.put(path, response.clone());
    return response;
  });
  if (!kept) return asked;
  event.waitUntil(asked.catch(() => {}));
  const late = new Promise((resolve) => setTimeout(resolve, BRIEF_MS, kept));
  return Promise.race([asked.catch(() => kept), late]);
}
