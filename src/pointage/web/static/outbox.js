// What was told without a network, kept in IndexedDB until our own server has said it has it.

const NAME = "pointage";
const STORE = "outbox";
const PATIENCE_MS = 20_000;

function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

async function store(mode) {
  const opening = indexedDB.open(NAME, 1);
  opening.onupgradeneeded = () =>
    opening.result.createObjectStore(STORE, { keyPath: "order", autoIncrement: true });
  const database = await done(opening);
  return database.transaction(STORE, mode).objectStore(STORE);
}

// entry: { id, path, fields, words, refused, clash }. refused: the server's reason, empty while it
// waits; clash: whether its identifier stands for something else that was recorded.
export async function put(entry) {
  await done((await store("readwrite")).put(entry));
}

export async function waiting() {
  return done((await store("readonly")).getAll());
}

export async function remove(order) {
  await done((await store("readwrite")).delete(order));
}

// What an answer means for the entry that was sent:
// - "stored": our server names it;
// - "clash": its identifier was sent before and stands for something else;
// - "refused": our server will not have it as it is;
// - "later": all else. A full disk, a database away, a busy server or a stranger on the line passes.
export function verdict(status, header, id) {
  if (header("Pointage") === null || status === 408 || status === 429 || status >= 500) return "later";
  if (status >= 200 && status < 300) return header("Pointage-Entry") === id ? "stored" : "later";
  if (status === 409) return "clash";
  return status >= 400 ? "refused" : "later";
}

// Sends what waits, in the order in which it was told, and stops at the first that cannot be sent.
// An entry goes only when our server names it in its answer. One that our server refuses stays,
// with the reason, until a person mends it or throws it away.
export function deliver() {
  // One at a time, in all tabs: two deliveries must not cross and bring back what has gone.
  return navigator.locks ? navigator.locks.request("pointage-outbox", send) : send();
}

async function send() {
  let sent = 0;
  for (const entry of await waiting()) {
    if (entry.refused) continue;
    let answer, said;
    try {
      answer = await fetch(entry.path, {
        method: "POST",
        // Nobody is there to be asked: what was told then is what was meant.
        body: new URLSearchParams({ ...entry.fields, sure: "yes" }),
        headers: { "HX-Request": "true" },
        redirect: "manual",
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      said = await answer.text();
    } catch {
      break;
    }
    const found = verdict(answer.status, (name) => answer.headers.get(name), entry.id);
    if (found === "later") break;
    if (found === "stored") {
      await remove(entry.order);
      sent += 1;
    } else {
      await put({ ...entry, refused: reason(said), clash: found === "clash" });
    }
  }
  return sent;
}

// The sentence of an answer that says why not.
export function reason(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const words = page.querySelector("[role=alert]") ?? page.querySelector("main p") ?? page.body;
  return words.textContent.trim() || "The server gave no reason.";
}
