// @ts-check

const LOOK_MS = 60_000; // how often to look for a new version
const ASK_MS = 5000; // how often to ask whether a waiting one may take over

/**
 * Registers the service worker, which keeps the lane and call screens loading with the server dead. A new version waits until every
 * screen of this browser can spare a moment (`mayReload`: no heat runs, nothing is unsent); then it takes over and all of them
 * reload together. Browsers allow this on https and on localhost only.
 * @param {{mayReload: () => boolean, url?: string}} options
 * @returns {Promise<boolean>} whether this page will load without the server
 */
export async function startWorker({ mayReload, url = "/sw.js" }) {
  if (!isSecureContext || !("serviceWorker" in navigator)) return false;
  const workers = navigator.serviceWorker;
  try {
    let isFirst = workers.controller === null; // the worker that this page itself brings changes nothing of it
    workers.addEventListener("message", (event) => {
      if (event.data?.type === "can-you-spare-a-moment") event.ports[0]?.postMessage(mayReload());
    });
    workers.addEventListener("controllerchange", () => {
      if (!isFirst) reloadWhen(mayReload);
      isFirst = false;
    });
    const registration = await workers.register(url, { type: "classic", updateViaCache: "none" });
    setInterval(() => registration.update().catch(() => {}), LOOK_MS); // offline: the next look is soon
    setInterval(() => mayReload() && registration.waiting?.postMessage({ type: "take-over" }), ASK_MS);
    await workers.ready;
    return true;
  } catch (wrong) {
    // a certificate that the browser doesn't trust ends here too
    console.warn("lane ledger: no service worker", wrong);
    return false;
  }
}

/**
 * The new version is in. A judge may have begun something in the very moment: then this page goes on with what it has loaded until it
 * can spare a moment.
 * @param {() => boolean} mayReload
 */
function reloadWhen(mayReload) {
  if (mayReload()) location.reload();
  else setTimeout(() => reloadWhen(mayReload), ASK_MS);
}
