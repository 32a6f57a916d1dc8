// @ts-check
/**
 * The second store, away from the page: an append log in the origin's private file system, flushed after every mark. One file for
 * each life of a page, because a file opened for writing belongs to one. Messages in: open, add, empty, drop; out: opened, failed.
 */

const worker = /** @type {any} */ (self);

/** @type {any} the folder */
let folder = null;
/** @type {any} the open log of this page */
let log = null;
let end = 0;
const encoder = new TextEncoder();

/** Messages are taken one after another: an append must not pass the opening. */
let turn = Promise.resolve();
worker.onmessage = (/** @type {MessageEvent} */ event) => {
  turn = turn.then(() => take(event.data)).catch((wrong) => worker.postMessage({ type: "failed", why: String(wrong?.name ?? wrong) }));
};

/** @param {{type: string, name?: string, folder?: string, line?: string, names?: string[]}} said */
async function take(said) {
  if (said.type === "open") await open(String(said.name), String(said.folder));
  else if (said.type === "add") append(`${said.line}\n`);
  else if (said.type === "empty") empty();
  else if (said.type === "drop") await drop(said.names ?? []);
}

/** @param {string} name @param {string} place */
async function open(name, place) {
  const root = await navigator.storage.getDirectory();
  folder = await root.getDirectoryHandle(place, { create: true });
  const logs = await others(name);
  const file = await folder.getFileHandle(name, { create: true });
  log = await file.createSyncAccessHandle();
  end = log.getSize();
  worker.postMessage({ type: "opened", logs });
}

/** What the logs of other pages hold, be they gone or still open. @param {string} mine */
async function others(mine) {
  const logs = [];
  for await (const [name, handle] of folder.entries()) {
    if (name === mine || handle.kind !== "file") continue;
    const text = await handle.getFile().then((/** @type {File} */ file) => file.text()).catch(() => "");
    logs.push({ name, text });
  }
  return logs;
}

/** @param {string} text */
function append(text) {
  end += log.write(encoder.encode(text), { at: end });
  log.flush();
}

function empty() {
  log.truncate(0);
  end = 0;
  log.flush();
}

/** Removes logs of pages that are gone. One that is still open somewhere can't be removed, and should not be. @param {string[]} names */
async function drop(names) {
  for (const name of names) await folder.removeEntry(name).catch(() => {});
}
