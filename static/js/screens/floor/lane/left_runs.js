// @ts-check

const LEFT = "lane-ledger.left";
const KEPT = 200; // more heats than a tablet judges in a day

/** The runs whose sheet the judge has left behind, as long as the tablet remembers. */
export class LeftRuns {
  #runs = recall();

  /** @param {string} run @returns {boolean} */
  has(run) {
    return this.#runs.has(run);
  }

  /** @param {string} run */
  add(run) {
    this.#runs.add(run);
    try {
      localStorage.setItem(LEFT, JSON.stringify([...this.#runs].slice(-KEPT)));
    } catch {
      // No storage: after a reload the sheet is shown again, which does no harm.
    }
  }
}

/** @returns {Set<string>} */
function recall() {
  try {
    return new Set(JSON.parse(localStorage.getItem(LEFT) ?? "[]"));
  } catch {
    return new Set();
  }
}
