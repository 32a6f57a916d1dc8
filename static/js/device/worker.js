// @ts-check

const LOOK_MS = 60_000; // how often to look for a new version
const ASK_MS = 5000; // how often to ask whether a waiting one may take over

/**
 * Registers the service worker, which keeps the lane and call screens loading with the server dead. A new version waits until
 * `mayReload` says that this page can spare a moment (no heat runs, nothing is unsent); then it takes over and the page reloads.
 * Browsers allow this on https and on localhost only.
 * @param {{mayReload: () => boolean, url?: string}} options
 * @returns {Promise<boolean>} whether this page will load without the server
 */
export async function startWorker({ mayReload, url = "/sw.js" }) {
  if (!isSecureContext || !("serviceWorker" in navigator)) return false;
  try {
    const controlled = navigator.serviceWorker.controller !== null;
    const registration = await navigator.serviceWorker.register(url, { type: "classic", updateViaCache: "none" });
    if (controlled) navigator.serviceWorker.addEventListener("controllerchange", () => reloadWhen(mayReload));
    setInterval(() => registration.update().catch(() => {}), LOOK_MS); // offline: the next look is soon
    setInterval(() => mayReload() && registration.waiting?.postMessage({ type: "take-over" }), ASK_MS);
    await navigator.serviceWorker.ready;
    return true;
  } catch (wrong) {
    // a certificate that the browser doesn't trust ends here too
    console.warn("lane ledger: no service worker", wrong);
    return false;
  }
}

/**
 * Another tab let the new version in; this page goes on with what it has loaded until it may reload.
 * @param {() => boolean} mayReload
 */
function reloadWhen(mayReload) {
  if (mayReload()) location.reload();
  else setTimeout(() => reloadWhen(mayReload), ASK_MS);
}
