// @ts-check

/** @typedef {import("./shelf.js").Mark} Mark */

const OPEN_MS = 4000; // a browser that has not opened its second store by then is taken to have none

/** @type {{marks: Mark[], names: string[], whole: boolean}} */
const NOTHING = { marks: [], names: [], whole: false };

/**
 * A second copy of the marks that the desk does not hold yet, in another store of the browser than IndexedDB: when that is wiped
 * (Chromium was seen to wipe it whole after a kill), the other is usually there. Only secure pages have one (https, localhost);
 * elsewhere everything here does nothing.
 */
export class Mirror {
  /** @type {Worker | null} */
  #worker = null;
  #held = 0;

  /** @param {string} [folder] the name of the device's store */
  constructor(folder = "lane-ledger") {
    this.folder = folder;
  }

  /** Whether a second copy is being kept. */
  on = false;
  /** What the browser said when there was none to be had: SecurityError in a private window. */
  refusal = "";

  /**
   * Opens this page's log and reads those of the pages before it.
   * @param {number} epoch this page's own number
   * @returns {Promise<{marks: Mark[], names: string[], whole: boolean}>} what they hold, their names for `drop`, and whether every mark
   *   was kept in them that the desk did not hold
   */
  async open(epoch) {
    if (!isSecureContext || !navigator.storage?.getDirectory || typeof Worker === "undefined") return NOTHING;
    try {
      this.#worker = new Worker(new URL("./mirror_worker.js", import.meta.url), { type: "module" });
      const opened = once(this.#worker);
      this.#worker.postMessage({ type: "open", name: `marks-${epoch}.log`, folder: this.folder });
      const logs = await opened;
      this.on = true;
      this.#worker.onmessage = (event) => this.#failed(event.data?.why ?? "");
      const whole = logs.length > 0 && !failedBefore(this.folder, false);
      return { marks: logs.flatMap(({ text }) => read(text)), names: logs.map(({ name }) => name), whole };
    } catch (wrong) {
      this.#failed(wrong instanceof Error ? wrong.message : String(wrong));
      return NOTHING;
    }
  }

  /** Writes a mark down; on the disk a few milliseconds later. @param {Mark} mark */
  add(mark) {
    if (!this.on) return;
    this.#held += 1;
    this.#worker?.postMessage({ type: "add", line: JSON.stringify(mark) });
  }

  /** The desk holds everything: nothing is left to be kept twice. */
  empty() {
    if (!this.on || !this.#held) return;
    this.#held = 0;
    this.#worker?.postMessage({ type: "empty" });
  }

  /** Removes the logs of pages before this one, whose marks are here now. @param {string[]} names */
  drop(names) {
    if (this.on && names.length) this.#worker?.postMessage({ type: "drop", names });
  }

  /** @param {string} why */
  #failed(why) {
    this.on = false;
    this.refusal = why || "Error";
    failedBefore(this.folder, true);
    this.#worker?.terminate();
    this.#worker = null;
  }
}

/** Whether the second copy had failed once: then it may lack marks. Kept for the next life of the page. @param {string} folder @param {boolean} failed */
function failedBefore(folder, failed) {
  try {
    const before = localStorage.getItem(`${folder}-half`) !== null;
    if (failed) localStorage.setItem(`${folder}-half`, "1");
    else localStorage.removeItem(`${folder}-half`); // it is written anew from here on
    return before;
  } catch {
    return true; // nobody knows
  }
}

/** @param {Worker} worker @returns {Promise<{name: string, text: string}[]>} */
function once(worker) {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error("TimeoutError")), OPEN_MS);
    const end = (/** @type {() => void} */ act) => {
      clearTimeout(timer);
      act();
    };
    worker.onerror = () => end(() => reject(new Error("WorkerError")));
    worker.onmessage = ({ data }) => end(() => (data.type === "opened" ? resolve(data.logs) : reject(new Error(data.why))));
  });
}

/** The marks in a log. The last line may be half written. @param {string} text @returns {Mark[]} */
function read(text) {
  return text.split("\n").flatMap((line) => {
    try {
      const mark = JSON.parse(line);
      return mark?.id && mark.sheet ? [mark] : [];
    } catch {
      return [];
    }
  });
}
