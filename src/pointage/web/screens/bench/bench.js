// The live Bench: it keeps itself fresh, and what is said on it waits in the outbox for its answer.

import { checkNetwork, freshId, instant, undisturbed } from "./page.js";
import { alone, change, deliver, others, put, refusal, verdict, waiting } from "./outbox.js";
import { possible, strike } from "./ladder.js";
import { say } from "./texts.js";

const REFRESH_MS = 60_000;
const SLOW_MS = 1_500; // after this an answer is waited for in sight
const LONGEST_MS = 10_000; // htmx itself gives up after 8 s
const main = document.getElementById("main");
const notice = document.getElementById("waiting");
const used = new Set();
const flights = new Map(); // by its form, what is on its way: the entry, and what ends the flight

// Everything said has its own identifier and the moment of the thumb, not of the delivery.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-telling]") || event.submitter?.name === "change") return;
  if (flights.has(form)) {
    // A finger that comes down twice says it once.
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  const { entry, happened } = form.elements;
  if (!form.matches("[data-same]")) {
    if (used.has(entry.value)) entry.value = freshId();
    happened.value = instant().toISOString();
  }
  used.add(entry.value);
  const fields = Object.fromEntries(new FormData(form));
  if (event.submitter?.name === "touch") fields.touch = event.submitter.value;
  const path = form.getAttribute("action");
  const smell = fields.touch && event.submitter.textContent; // as its button says it, and no more
  const said = { id: entry.value, path, fields, smell, words: wordsFor(form, path, fields, smell), refused: "" };
  flights.set(form, { entry: said, land: () => undefined });
}, true);

// It is kept before it is sent: a page that is gone before its answer has lost nothing.
document.addEventListener("htmx:confirm", (event) => {
  const form = event.detail.elt;
  const flight = flights.get(form);
  if (!flight) return;
  event.preventDefault();
  alone(flight.entry.id, async () => {
    await put(flight.entry).catch(() => undefined); // no room on this phone: see settle()
    form.dispatchEvent(new CustomEvent("kept", { bubbles: true }));
    event.detail.issueRequest(true);
    setTimeout(showWaiting, SLOW_MS);
    await new Promise((resolve) => {
      flight.land = resolve;
      setTimeout(resolve, LONGEST_MS);
    });
    flights.delete(form);
  });
});

document.addEventListener("htmx:configRequest", (event) => {
  const flight = flights.get(event.detail.elt);
  if (flight) Object.assign(event.detail.parameters, flight.entry.fields);
});

for (const failure of ["htmx:sendError", "htmx:sendAbort", "htmx:timeout"]) {
  document.addEventListener(failure, (event) => {
    settle(event.target, "later");
    checkNetwork();
  });
}

// An answer that does not name the entry has not stored it: it waits, or stands with its reason.
// What cannot be used in a field of the page (422) is shown beside that field, by the page itself.
document.addEventListener("htmx:beforeSwap", (event) => {
  const { xhr, requestConfig } = event.detail;
  const flight = flights.get(requestConfig.elt);
  if (!flight) return;
  const found = verdict(xhr.status, (name) => xhr.getResponseHeader(name), flight.entry.id);
  const shown = found === "stored" || (found === "refused" && xhr.status === 422);
  if (!shown) event.detail.shouldSwap = false;
  settle(requestConfig.elt, shown ? "shown" : found, xhr.responseText);
});

// found: what became of what a form sent; "shown" when the page is to show that.
async function settle(form, found, html = "") {
  const flight = flights.get(form);
  if (!flight) return;
  const { entry, land } = flight;
  flights.delete(form);
  if (found === "later" && entry.order === undefined) {
    complain(form, say("no_room"));
  } else if (found === "later" && !canBe(entry)) {
    await change(entry);
    complain(form, say("impossible"));
  } else if (found === "later") {
    stays(form, entry);
  } else if (found === "shown") {
    await change(entry).catch(() => undefined); // sent once more, it is there already
  } else {
    const refused = refusal(entry, found, html);
    await (entry.order === undefined ? put(refused) : change(entry, refused)).catch(() => complain(form, refused.refused));
  }
  land();
  await (found === "later" ? showWaiting() : sendWaiting()); // what was kept after it, such as its picture
}

// It waits, and the page goes on.
function stays(form, entry) {
  if (entry.path === "/bench/reading" || entry.path === "/bench/noted") {
    form.closest("details")?.removeAttribute("open");
    form.reset();
  }
  if (form.matches("[data-same]")) for (const each of form.querySelectorAll("button")) each.disabled = true;
  show(entry.path, entry.fields);
}

function canBe({ path, fields }) {
  const table = path === "/bench/poured" && ladderOf(fields);
  return !table || possible(table, Number(fields.pour), reading(fields), fields.keep);
}

const ladderOf = (fields) =>
  main.querySelector(`.now [data-ladder="${CSS.escape(`${fields.bake}/${fields.step}`)}"]`);

const reading = (fields) => Number(fields.display.replace(",", ".").replace(/\s*g$/, ""));

// What was said and not yet sent, as if the server had heard it.
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

function wordsFor(form, path, fields, smell) {
  const at = instant().toTimeString().slice(0, 5);
  const head = form.matches("[data-same]") ? null : form.closest("section")?.querySelector("h1, h2");
  const title = head ? `${head.textContent}: ` : "";
  if (path === "/bench/done") return `${at} ${form.textContent.trim()}`;
  if (path === "/bench/poured") return say("poured", { time: at, display: fields.display });
  if (path === "/bench/reading") return `${at} ${title}${say(fields.kind)} ${fields.value ?? ""}`.trim();
  if (path === "/bench/noted") return `${at} ${title}${smell ? say("smelled", { smell }) : fields.text}`;
  return `${at} ${form.textContent.trim()}`;
}

// Done, waiting: the step is struck wherever it stands, and the next one opens.
function finish(step) {
  for (const form of main.querySelectorAll(`[data-finishes="${step}"]`)) {
    const button = form.querySelector("button");
    button.disabled = true;
    button.textContent = say("done");
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
  if (notice.querySelector("form")?.contains(document.activeElement)) return; // it is being mended
  const entries = await waiting();
  notice.hidden = entries.length === 0;
  notice.replaceChildren(...entries.map(line));
}

// The fields that a person typed; they are called by the texts of these names.
const TYPED = ["display", "value", "text", "touch"];

function line(entry) {
  const row = document.createElement("div");
  const words = document.createElement("p");
  row.append(words);
  words.textContent = entry.refused
    ? say("refused", { words: entry.words, reason: entry.refused })
    : say("waiting", { words: entry.words });
  if (!entry.refused) return row;
  const typed = TYPED.filter((name) => entry.fields[name]);
  if (typed.length) row.append(button(say("correct"), () => mend(row, entry, typed)));
  else row.append(button(say("again"), () => sendAgain(entry, entry.fields)));
  row.append(button(say("delete"), async () => {
    await change(entry);
    await showWaiting();
  }));
  return row;
}

function button(text, act) {
  const made = document.createElement("button");
  made.className = "plain-button";
  made.type = "button";
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}

// What was typed, to be put right where the reason stands: the page may no longer have its form.
function mend(row, entry, typed) {
  const form = document.createElement("form");
  for (const name of typed) {
    const label = document.createElement("label");
    const field = document.createElement("input");
    field.name = name;
    field.value = entry.fields[name];
    field.required = true;
    field.autocomplete = "off";
    label.append(`${say(name)} `, field);
    form.append(label);
  }
  const send = button(say("again"), () => form.requestSubmit());
  form.append(send);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    send.focus();
    row.replaceChildren();
    sendAgain(entry, { ...entry.fields, ...Object.fromEntries(new FormData(form)) });
  });
  row.querySelector("button").replaceWith(form);
  form.querySelector("input").focus();
}

// Under its own identifier, or under another where that one stands for what was recorded before.
async function sendAgain(entry, fields) {
  const id = entry.clash ? freshId() : entry.id;
  let words = entry.words;
  for (const name of TYPED) {
    const before = name === "touch" ? (entry.smell ?? entry.fields.touch) : entry.fields[name];
    if (fields[name]) words = words.replace(before, () => fields[name]);
  }
  await change(entry, { ...entry, id, fields: { ...fields, entry: id }, smell: fields.touch, words, refused: "", clash: false });
  await sendWaiting();
}

// The Bench, or the page of one bake: an answer to a form has another address.
const here = () => main.querySelector("[data-page]")?.dataset.page ?? "/";
const keepPage = () => fetch(here(), { headers: { Accept: "text/html" } }); // by the worker

async function refresh() {
  await htmx.ajax("GET", here(), { target: "#main", swap: "innerHTML" });
  await keepPage();
}

async function sendWaiting() {
  await showWaiting(); // a server may be slow
  if ((await waiting()).some((entry) => !entry.refused) && (await checkNetwork())) {
    if (await deliver()) await refresh();
  }
  await showWaiting();
}

document.addEventListener("htmx:afterSwap", (event) => {
  if ("kept" in document.body.dataset) {
    delete document.body.dataset.kept;
    checkNetwork();
  }
  document.body.dataset.made = main.querySelector("[data-made]")?.dataset.made ?? document.body.dataset.made;
  if (event.detail.requestConfig.verb === "get") return;
  // After something is recorded, focus what comes next, or what cannot be used.
  const head = document.getElementById("now-head") ?? main.querySelector("h1");
  (main.querySelector("[aria-invalid=true]") ?? head)?.focus();
  if (head) document.title = document.title.replace(/^.* · /, `${head.textContent} · `);
  keepPage();
});

others.addEventListener("message", showWaiting);
addEventListener("online", sendWaiting);
document.addEventListener("to-send", sendWaiting);
setInterval(sendWaiting, 20_000);
async function freshen() {
  if (undisturbed() && (await waiting()).length === 0 && (await checkNetwork())) await refresh();
}

setInterval(freshen, REFRESH_MS);
document.addEventListener("work-ended", freshen);
for (const entry of await waiting()) if (!entry.refused) show(entry.path, entry.fields);
sendWaiting();
