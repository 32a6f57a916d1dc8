// @ts-check
/**
 * The tablet's own disk: one IndexedDB database with two drawers, `marks` (one record per mark) and `meta` (few named values).
 * Opening never fails; reading and writing reject, and the caller says what that means.
 */

const LAYOUT = 1;
const OPEN_MS = 4000; // some browsers leave an open request hanging for ever

export class Store {
  /** @type {Promise<IDBDatabase> | null} */
  #database = null;

  /** Called when the browser has taken the open database away (wiped, or the disk gave out). @type {(() => void) | null} */
  onlost = null;

  /** True when the store was made in this life of the page. */
  fresh = false;
  /** Who says, then, that there had been one before. @type {"storage" | "cookie" | ""} */
  witnessed = "";

  /** @param {string} [name] of the place where everything of one device is kept; one browser can be several */
  constructor(name = "lane-ledger") {
    this.name = name;
    this.born = `${name}-born`; // a second witness, outside IndexedDB, that there was a store here
  }

  /** @returns {Promise<IDBDatabase>} */
  #open() {
    this.#database ??= openDatabase(this.name).then((database) => {
      database.onclose = () => {
        this.#database = null;
        this.onlost?.();
      };
      database.onversionchange = () => {
        this.#database = null;
        database.close();
      };
      return database;
    });
    this.#database.catch(() => {
      this.#database = null;
    });
    return this.#database;
  }

  /**
   * Runs `work` in one transaction over one drawer; resolves after it is complete on the disk.
   * @template T
   * @param {"marks" | "meta"} drawer
   * @param {IDBTransactionMode} mode
   * @param {(drawer: IDBObjectStore) => IDBRequest<T> | void} work
   * @param {boolean} [strict] wait for the disk itself
   * @returns {Promise<T | undefined>}
   */
  async #run(drawer, mode, work, strict = false) {
    const database = await this.#open();
    return new Promise((resolve, reject) => {
      const transaction = this.#begin(database, drawer, mode, strict);
      const request = work(transaction.objectStore(drawer));
      transaction.oncomplete = () => resolve(request?.result);
      transaction.onabort = () => reject(transaction.error ?? new Error("The store gave the write up."));
    });
  }

  /** @param {IDBDatabase} database @param {string} drawer @param {IDBTransactionMode} mode @param {boolean} strict */
  #begin(database, drawer, mode, strict) {
    try {
      return database.transaction(drawer, mode, { durability: strict ? "strict" : "relaxed" });
    } catch (wrong) {
      this.#database = null; // it is closing under us; the next write opens it anew
      throw wrong;
    }
  }

  /**
   * @param {any[]} records of marks: all are kept, or none
   * @param {boolean} [strict] on the disk when the promise resolves; what became of marks that are kept already may be lost without harm
   */
  async putMarks(records, strict = false) {
    await this.#run("marks", "readwrite", (drawer) => records.forEach((record) => drawer.put(record)), strict);
  }

  /** @returns {Promise<any[]>} */
  async allMarks() {
    return (await this.#run("marks", "readonly", (drawer) => drawer.getAll())) ?? [];
  }

  /** @param {string[]} ids */
  async deleteMarks(ids) {
    await this.#run("marks", "readwrite", (drawer) => ids.forEach((id) => drawer.delete(id)));
  }

  /** @param {string} name @returns {Promise<any>} */
  async get(name) {
    return (await this.#run("meta", "readonly", (drawer) => drawer.get(name)))?.value;
  }

  /** @param {string} name @param {any} value */
  async set(name, value) {
    await this.#run("meta", "readwrite", (drawer) => void drawer.put({ name, value }));
  }

  /**
   * Changes one named value so that no other tab can change it in between.
   * @param {string} name
   * @param {(old: any) => any} next
   * @param {boolean} [strict] wait for the disk itself
   * @returns {Promise<any>} the new value
   */
  async change(name, next, strict = true) {
    let value;
    await this.#run("meta", "readwrite", (drawer) => {
      const request = drawer.get(name);
      request.onsuccess = () => {
        value = next(request.result?.value);
        drawer.put({ name, value });
      };
    }, strict);
    return value;
  }

  /** Finds out whether the store is a new one, and whether there had been one; leaves the witnesses of that. */
  async witness() {
    const now = String(Date.now());
    let fresh = false;
    const born = await this.change("born", (before) => {
      fresh = before === undefined;
      return before ?? now;
    });
    this.fresh = fresh;
    if (fresh) this.witnessed = witnessed(this.born);
    leaveWitness(this.born, born);
  }
}

/** @param {string} name @returns {Promise<IDBDatabase>} */
function openDatabase(name) {
  return new Promise((resolve, reject) => {
    let late = false;
    const timer = setTimeout(() => {
      late = true;
      reject(new Error("The browser did not open its store."));
    }, OPEN_MS);
    const request = indexedDB.open(name, LAYOUT);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("marks", { keyPath: "id" });
      request.result.createObjectStore("meta", { keyPath: "name" });
    };
    request.onsuccess = () => {
      clearTimeout(timer);
      if (late) request.result.close();
      else resolve(request.result);
    };
    request.onerror = () => {
      clearTimeout(timer);
      reject(request.error);
    };
  });
}

/** The third witness: a cookie, which no browser wipes with its stores. Cookies know no port, so its name does. @param {string} born */
const cookieOf = (born) => `${born}-${location.port}`;

/** Who says that there was a store before. @param {string} born @returns {"storage" | "cookie" | ""} */
function witnessed(born) {
  try {
    if (localStorage.getItem(born) !== null) return "storage";
  } catch {
    // storage may be switched off altogether
  }
  return document.cookie.includes(`${cookieOf(born)}=`) ? "cookie" : "";
}

/** @param {string} born @param {string} now */
function leaveWitness(born, now) {
  document.cookie = `${cookieOf(born)}=1; max-age=31536000; path=/; samesite=lax`;
  try {
    if (localStorage.getItem(born) !== now) localStorage.setItem(born, now);
  } catch {
    // without the witness a wiped store may not be noticed; nothing else depends on it
  }
}
