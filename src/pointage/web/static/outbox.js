// What was told without a network, kept in IndexedDB until our own server has said it has it.

const NAME = "pointage";
const STORE = "outbox";

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

// entry: { id, path, fields, words, refused }
export async function put(entry) {
  await done((await store("readwrite")).put(entry));
}

export async function waiting() {
  return done((await store("readonly")).getAll());
}

export async function remove(order) {
  await done((await store("readwrite")).delete(order));
}

// Sends what waits, in the order in which it was told, and stops at the first that cannot be sent.
// An entry goes only when our server names it in its answer. One that our server refuses stays,
// with the reason, until a person throws it away.
export function deliver() {
  // One at a time, in all tabs: two deliveries must not cross and bring back what has gone.
  return navigator.locks ? navigator.locks.request("pointage-outbox", send) : send();
}

async function send() {
  let sent = 0;
  for (const entry of await waiting()) {
    if (entry.refused) continue;
    let answer;
    try {
      answer = await fetch(entry.path, {
        method: "POST",
        // Nobody is there to be asked: what was told then is what was meant.
        body: new URLSearchParams({ ...entry.fields, sure: "yes" }),
        headers: { "HX-Request": "true" },
        redirect: "manual",
      });
    } catch {
      break;
    }
    if (!answer.headers.has("Pointage") || answer.status >= 500) break;
    if (answer.ok && answer.headers.get("Pointage-Entry") === entry.id) {
      await remove(entry.order);
      sent += 1;
    } else {
      await put({ ...entry, refused: await reason(answer) });
    }
  }
  return sent;
}

async function reason(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const words = page.querySelector("[role=alert]") ?? page.querySelector("main p") ?? page.body;
  return words.textContent.trim();
}
