// What was said on this phone, kept in IndexedDB until our own server has said it has it.

import { say } from "./texts.js";

const NAME = "pointage";
const STORE = "outbox";
const PATIENCE_MS = 20_000;
const PICTURE_MS = 120_000; // some megabytes over a kitchen's wireless

// Hears when another tab has changed what is kept here.
export const others = new BroadcastChannel("pointage-outbox");

function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

async function within(mode, work) {
  const opening = indexedDB.open(NAME, 1);
  opening.onupgradeneeded = () =>
    opening.result.createObjectStore(STORE, { keyPath: "order", autoIncrement: true });
  const database = await done(opening);
  try {
    // On the disk, not on its way there: it must outlive the battery.
    const transaction = database.transaction(STORE, mode, { durability: "strict" });
    const finished = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
    });
    return (await Promise.all([work(transaction.objectStore(STORE)), finished]))[0];
  } finally {
    database.close();
    if (mode === "readwrite") others.postMessage("");
  }
}

// entry: { id, path, fields, words, refused, clash, photo }. refused: the server's reason, empty while
// it waits; clash: whether its identifier stands for something else that was recorded; photo: a file
// that goes with it.
export async function put(entry) {
  entry.order = await within("readwrite", (kept) => done(kept.put(entry)));
}

export async function waiting() {
  return within("readonly", (kept) => done(kept.getAll()));
}

const same = (one, other) => one?.id === other.id && one.refused === other.refused;

// Writes `then` in place of an entry, or takes it out; but not one that was sent, mended or thrown
// away meanwhile: another tab has the same outbox.
export async function change(entry, then) {
  return within("readwrite", async (kept) => {
    if (!same(await done(kept.get(entry.order)), entry)) return;
    await done(then ? kept.put(then) : kept.delete(entry.order));
  });
}

const held = new Set();

// Sends an entry while nothing else sends it, in any tab; does nothing while something else does.
export async function alone(id, work) {
  if (held.has(id)) return undefined;
  held.add(id);
  try {
    if (!navigator.locks) return await work(); // off loopback and without TLS
    return await navigator.locks.request(`pointage ${id}`, { ifAvailable: true }, (lock) => lock && work());
  } finally {
    held.delete(id);
  }
}

// What an answer means for the entry that was sent:
// - "stored": our server names it;
// - "clash": its identifier was sent before and stands for something else;
// - "refused": our server will not have it as it is;
// - "later": all else. A full disk, a database away, a busy server or a stranger on the line passes,
//   and a device that was shut out (401) joins again.
export function verdict(status, header, id) {
  if (header("Pointage") === null || status === 401 || status === 408 || status === 429 || status >= 500) return "later";
  if (status >= 200 && status < 300) return header("Pointage-Entry") === id ? "stored" : "later";
  if (status === 409) return "clash";
  return status >= 400 ? "refused" : "later";
}

// Sends what waits, in the order in which it was said, and stops at the first that cannot be sent.
// An entry goes only when our server names it in its answer. One that our server refuses stays,
// with the reason, until a person mends it or throws it away.
export function deliver() {
  // One at a time, in all tabs: what was said first is to arrive first.
  return navigator.locks ? navigator.locks.request("pointage-outbox", sendAll) : sendAll();
}

async function sendAll() {
  let sent = 0;
  for (const entry of await waiting()) {
    if (entry.refused) continue;
    const found = await alone(entry.id, () => send(entry));
    if (found === "later" || !found) break; // it is being sent elsewhere: what follows comes after it
    if (found === "stored") sent += 1;
  }
  return sent;
}

async function send(entry) {
  if (!(await waiting()).some((each) => each.order === entry.order && same(each, entry))) return "gone";
  let answer, said;
  try {
    answer = await fetch(entry.path, {
      method: "POST",
      // Nobody is there to be asked: what was said then is what was meant.
      body: bodyOf(entry),
      headers: { "HX-Request": "true" },
      redirect: "manual",
      signal: AbortSignal.timeout(entry.photo ? PICTURE_MS : PATIENCE_MS),
    });
    said = await answer.text();
  } catch {
    return "later";
  }
  const found = verdict(answer.status, (name) => answer.headers.get(name), entry.id);
  if (found === "stored") await change(entry);
  else if (found !== "later") await change(entry, refusal(entry, found, said));
  return found;
}

function bodyOf({ fields, photo }) {
  const said = { ...fields, sure: "yes" };
  if (!photo) return new URLSearchParams(said);
  const body = new FormData();
  for (const [name, value] of Object.entries(said)) body.append(name, value);
  body.append("photo", photo);
  return body;
}

export const refusal = (entry, found, html) => ({ ...entry, refused: reason(html), clash: found === "clash" });

// The sentence of an answer that says why not.
function reason(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const words = page.querySelector("[role=alert]") ?? page.querySelector("main p") ?? page.body;
  return words.textContent.trim() || say("no_reason");
}
