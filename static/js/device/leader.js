// @ts-check
/**
 * Which of a browser's tabs leads. Only tabs that stand can lead: a hidden tab withdraws and another takes over.
 * Where Web Locks are present the browser decides; on plain HTTP in a LAN they are not, and the tabs agree by messages.
 */

const BEAT_MS = 1000; // the leader says so this often
const SILENCE_MS = 2600; // two beats missed: the leader is gone
const LISTEN_MS = 250; // a newcomer waits this long for an answer before it leads

/** @typedef {{ stand: () => void, withdraw: () => void, leads: () => boolean }} Candidate */

/**
 * @param {string} name the office to hold; one leader for each name
 * @param {() => void} onLead called when this tab begins to lead
 * @param {() => void} onYield called when it no longer leads
 * @returns {Candidate}
 */
export function candidate(name, onLead, onYield) {
  return navigator.locks ? byLock(name, onLead, onYield) : byMessages(name, onLead, onYield);
}

/** @type {typeof candidate} */
function byLock(name, onLead, onYield) {
  /** @type {AbortController | null} */
  let waiting = null;
  /** @type {(() => void) | null} */
  let release = null;

  function stand() {
    if (waiting) return;
    const mine = new AbortController();
    waiting = mine;
    const hold = () => {
      if (waiting !== mine) return undefined;
      return new Promise((resolve) => {
        release = () => resolve(undefined);
        onLead();
      });
    };
    navigator.locks.request(name, { signal: mine.signal }, hold).catch(() => {}); // withdrawn before its turn
  }

  function withdraw() {
    if (!waiting) return;
    const led = release;
    waiting.abort();
    waiting = null;
    release = null;
    if (led) {
      onYield();
      led();
    }
  }

  return { stand, withdraw, leads: () => release !== null };
}

/** @type {typeof candidate} */
function byMessages(name, onLead, onYield) {
  const id = `${Date.now().toString(36)}-${crypto.getRandomValues(new Uint32Array(2)).join("-")}`;
  const channel = new BroadcastChannel(`leader:${name}`);
  /** @type {"out" | "listening" | "leading"} */
  let state = "out";
  let timer = 0;

  /** @param {number} ms */
  function listen(ms) {
    state = "listening";
    clearTimeout(timer);
    timer = setTimeout(lead, ms + Math.random() * 150);
  }

  function lead() {
    state = "leading";
    beat();
    onLead();
  }

  function beat() {
    channel.postMessage({ kind: "beat", id });
    clearTimeout(timer);
    timer = setTimeout(beat, BEAT_MS);
  }

  channel.onmessage = ({ data }) => {
    if (state === "out") return;
    if (data.kind === "ask" && state === "leading") return beat();
    if (data.kind === "gone" && state === "listening") return listen(0);
    if (data.kind !== "beat") return;
    if (state === "listening") return listen(SILENCE_MS);
    if (data.id > id) return beat(); // two lead: the older id stays
    listen(SILENCE_MS);
    onYield();
  };

  function stand() {
    if (state !== "out") return;
    listen(LISTEN_MS);
    channel.postMessage({ kind: "ask" });
  }

  function withdraw() {
    const led = state === "leading";
    state = "out";
    clearTimeout(timer);
    if (led) {
      onYield();
      channel.postMessage({ kind: "gone" });
    }
  }

  return { stand, withdraw, leads: () => state === "leading" };
}
