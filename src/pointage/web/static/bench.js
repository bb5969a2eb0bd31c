// The live Bench: it keeps itself fresh, and what is told without a network waits in the outbox.

import { checkNetwork, freshId, undisturbed } from "./page.js";
import { deliver, put, remove, waiting } from "./outbox.js";
import { possible, strike } from "./ladder.js";

const REFRESH_MS = 60_000;
const main = document.getElementById("main");
const notice = document.getElementById("waiting");
const used = new Set();
const touched = new WeakMap(); // the button of several that sent a form

// Every telling has its own identifier and the moment of the thumb, not of the delivery.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-telling]")) return;
  if (used.has(form.elements.entry.value)) form.elements.entry.value = freshId();
  used.add(form.elements.entry.value);
  form.elements.happened.value = new Date().toISOString();
  touched.set(form, event.submitter?.name === "touch" ? event.submitter.value : "");
}, true);

for (const failure of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(failure, (event) => {
    const form = event.target.closest?.("[data-telling]");
    if (form) tellLater(form);
    checkNetwork();
  });
}

async function tellLater(form) {
  const fields = Object.fromEntries(new FormData(form));
  if (touched.get(form)) fields.touch = touched.get(form);
  const path = form.getAttribute("action");
  const table = ladderOf(fields);
  if (path === "/bench/poured" && !possible(table, Number(fields.pour), reading(fields), fields.keep)) {
    complain(form, "The display says more than before the pour, and no more than a total that is kept.");
    return;
  }
  await put({ id: fields.entry, path, fields, words: wordsFor(form, path, fields) });
  if (path === "/bench/reading" || path === "/bench/noted") {
    form.closest("details")?.removeAttribute("open");
    form.reset();
  }
  show(path, fields);
  await showWaiting();
}

const ladderOf = (fields) =>
  main.querySelector(`.now [data-ladder="${CSS.escape(`${fields.bake}/${fields.step}`)}"]`);

const reading = (fields) => Number(fields.display.replace(",", ".").replace(/\s*g$/, ""));

// What was told and not yet sent, as if the server had heard it.
function show(path, fields) {
  const step = CSS.escape(`${fields.bake}/${fields.step}`);
  if (path === "/bench/done") finish(step);
  if (path === "/bench/poured") {
    const table = ladderOf(fields);
    if (table) strike(table, Number(fields.pour), reading(fields), fields.keep);
  }
}

function complain(form, text) {
  const line = form.querySelector(".error") ?? form.appendChild(document.createElement("p"));
  line.className = "error";
  line.setAttribute("role", "alert");
  line.textContent = text;
}

function wordsFor(form, path, fields) {
  const at = new Date().toTimeString().slice(0, 5);
  const title = form.closest("section")?.querySelector("h1, h2")?.textContent ?? "";
  if (path === "/bench/done") return `${at} ${form.textContent.trim()}`;
  if (path === "/bench/poured") return `${at} poured, display ${fields.display}`;
  if (path === "/bench/reading") return `${at} ${title}: ${fields.kind} ${fields.value ?? ""}`.trim();
  if (path === "/bench/noted") return `${at} ${title}: ${fields.touch ? `smells of ${fields.touch}` : fields.text}`;
  return `${at} ${form.textContent.trim()}`;
}

// Done, waiting: the step is struck wherever it stands, and the next one opens.
function finish(step) {
  for (const form of main.querySelectorAll(`[data-finishes="${step}"]`)) {
    const button = form.querySelector("button");
    button.disabled = true;
    button.textContent = "Done, waiting to be sent";
  }
  main.querySelector(`[data-coming="${step}"] summary`)?.classList.add("sent");
  const coming = [...main.querySelectorAll("[data-coming]")];
  const next = coming.find((line) => !line.querySelector("button:disabled"));
  if (next) {
    next.querySelector("details").open = true;
    next.querySelector("summary").focus();
  }
}

async function showWaiting() {
  const entries = await waiting();
  notice.hidden = entries.length === 0;
  notice.replaceChildren(...entries.map(line));
}

function line(entry) {
  const row = document.createElement("p");
  row.textContent = entry.refused
    ? `Refused: ${entry.words}. ${entry.refused} `
    : `Waiting to be sent: ${entry.words}`;
  if (entry.refused) {
    const button = document.createElement("button");
    button.className = "plain-button";
    button.textContent = "Throw away";
    button.addEventListener("click", async () => {
      await remove(entry.order);
      await showWaiting();
    });
    row.append(button);
  }
  return row;
}

async function refresh() {
  await htmx.ajax("GET", "/", { target: "#main", swap: "innerHTML" });
  await fetch("/", { headers: { Accept: "text/html" } }); // what the worker keeps is now this
}

async function sendWaiting() {
  if ((await waiting()).some((entry) => !entry.refused) && (await checkNetwork())) {
    if (await deliver()) await refresh();
  }
  await showWaiting();
}

document.addEventListener("htmx:afterSwap", (event) => {
  document.body.dataset.made = main.querySelector("[data-made]")?.dataset.made ?? document.body.dataset.made;
  if (event.detail.requestConfig.verb === "get") return;
  // After a telling the eye and the ear belong on what comes next, or on what will not do.
  (main.querySelector("[aria-invalid=true]") ?? document.getElementById("now-head"))?.focus();
  document.title = document.title.replace(/^.* · /, `${document.getElementById("now-head").textContent} · `);
  fetch("/", { headers: { Accept: "text/html" } });
});

addEventListener("online", sendWaiting);
setInterval(sendWaiting, 20_000);
async function freshen() {
  if (undisturbed() && (await waiting()).length === 0 && (await checkNetwork())) await refresh();
}

setInterval(freshen, REFRESH_MS);
document.addEventListener("work-ended", freshen);
for (const entry of await waiting()) if (!entry.refused) show(entry.path, entry.fields);
sendWaiting();
