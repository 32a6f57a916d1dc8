// @ts-check
/** Keeps the briefs on the tablet: each is asked for once, and the service worker holds on to the answer. */

const AGAIN_MS = 10 * 60_000; // briefs may still be edited on the day
const SOON_MS = 3000; // a desk that did not answer, a worker that is not in charge yet

/** Fetches all briefs now and again, while the desk can be reached and a worker keeps them. @param {{link: {online: boolean}}} tablet */
export function keepBriefs({ link }) {
  if (!("serviceWorker" in navigator)) return;
  const look = async () => {
    const kept = link.online && navigator.serviceWorker.controller ? await fetchAll() : false;
    setTimeout(look, kept ? AGAIN_MS : SOON_MS);
  };
  navigator.serviceWorker.ready.then(look, () => {}); // without a worker nothing is kept, and the lane says so
}

/** @returns {Promise<boolean>} whether every brief was fetched */
async function fetchAll() {
  try {
    const response = await fetch("/brief/list.json", { cache: "no-store" });
    if (!response.ok) return false;
    const { paths } = await response.json();
    for (const path of paths) await fetch(path, { headers: { Accept: "text/html" } });
    return true;
  } catch {
    return false;
  }
}
