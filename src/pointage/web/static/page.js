// What makes any page live: the theme without a reload, the word when the network is gone.
// Without this file every page still reads and every form still works.

import { say } from "./texts.js";

const root = document.documentElement;
const notice = document.getElementById("offline");
const CHECK_EVERY_MS = 30_000;

function cookie(name) {
  return document.cookie.split("; ").find((part) => part.startsWith(name + "="))?.split("=")[1];
}

function showTheme(theme) {
  if (theme === "light" || theme === "dark") root.dataset.theme = theme;
  else delete root.dataset.theme;
  for (const button of document.querySelectorAll(".theme button")) {
    button.setAttribute("aria-pressed", String(button.value === (theme ?? "auto")));
  }
}

function age(made) {
  const minutes = Math.max(0, Math.round((instant() - new Date(made)) / 60_000));
  if (minutes < 1) return say("now");
  if (minutes < 60) return say("minutes", { minutes });
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return say("hours", { hours, minutes: String(minutes % 60).padStart(2, "0") });
  // A browser knows how each language counts days.
  return new Intl.RelativeTimeFormat(root.lang).format(-Math.floor(hours / 24), "day");
}

// How far this device's clock is behind the kitchen's machine, as that last said; a minute is nothing.
const OFF = "off"; // of localStorage
const NOTICED_MS = 60_000;

// The moment, by the kitchen's clock.
export const instant = () => new Date(Date.now() + Number(localStorage.getItem(OFF) ?? 0));

function compare(theirs, asked) {
  const off = Date.parse(theirs) - (asked + Date.now()) / 2;
  if (Number.isNaN(off)) return;
  localStorage.setItem(OFF, Math.abs(off) < NOTICED_MS ? 0 : Math.round(off));
}

// Asks the server itself: a phone with a network may still be out of reach of the kitchen's.
export async function reachable() {
  const asked = Date.now();
  try {
    const answer = await fetch("/alive", { cache: "no-store" });
    compare(answer.headers.get("Pointage-Now"), asked);
    shutOut = answer.status === 401 && answer.headers.has("Pointage");
    return answer.ok && answer.headers.has("Pointage");
  } catch {
    return false;
  }
}

let shutOut = false; // by the last answer; what is said on this device is kept until it has joined again

export async function checkNetwork() {
  const here = await reachable();
  const { made, kept } = document.body.dataset; // kept: the worker's copy, for want of an answer
  notice.hidden = here && kept === undefined;
  if (!notice.hidden) notice.textContent = say(here ? "unable" : shutOut ? "shut_out" : "offline", { age: age(made) });
  if (shutOut) {
    const way = document.createElement("a");
    way.href = `/join?path=${encodeURIComponent(location.pathname)}`;
    way.textContent = say("join");
    notice.append(" ", way);
  }
  return here;
}

document.addEventListener("htmx:responseError", (event) => {
  if (event.detail.xhr.status === 401) checkNetwork();
});

document.querySelector(".theme").addEventListener("submit", (event) => {
  event.preventDefault();
  const theme = event.submitter.value;
  const chosen = theme !== "auto";
  document.cookie = `theme=${chosen ? theme : ""}; path=/; samesite=strict; max-age=${chosen ? 31_536_000 : 0}`;
  showTheme(chosen ? theme : undefined);
});

// Other degrees, at once. What is typed stays, with the degrees that it was typed in beside it.
const STASH = "typed";
const bare = /^\s*[+−-]?[\d.,]*\d\s*$/;

function stash(degrees) {
  const { pathname, search } = location;
  const asked = new URLSearchParams(search).has("degrees"); // the answer to a form that is read back
  const fields = [...document.querySelectorAll("main input[id]:not([type=hidden], [type=file], [type=range]), main select[id], main textarea[id]")]
    .filter((field) => asked || field.value !== (field.defaultValue ?? field.value))
    .map((field) => [field.id, "warm" in field.dataset && bare.test(field.value) ? `${field.value.trim()} °${degrees}` : field.value]);
  const open = [...document.querySelectorAll("main details[open] > summary")].map((each) => each.textContent);
  sessionStorage.setItem(STASH, JSON.stringify({ pathname, fields, open }));
  return asked ? pathname : pathname + search;
}

function restore() {
  const kept = JSON.parse(sessionStorage.getItem(STASH) ?? "{}");
  sessionStorage.removeItem(STASH);
  if (kept.pathname !== location.pathname) return;
  for (const each of document.querySelectorAll("main summary")) {
    if (kept.open.includes(each.textContent)) each.parentElement.open = true;
  }
  for (const [id, value] of kept.fields) {
    const field = document.getElementById(id);
    if (!field || field.value === value) continue;
    field.value = value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

document.querySelector(".units").addEventListener("submit", (event) => {
  event.preventDefault();
  const chosen = event.submitter.value;
  const before = chosen === "F" ? "C" : "F";
  const others = (cookie("shown") ?? "").split(".").filter((each) => each && !each.startsWith("degrees:"));
  document.cookie = `shown=${[...others, `degrees:${chosen}`].join(".")}; path=/; samesite=strict; max-age=31536000`;
  for (const button of event.target.querySelectorAll("button")) {
    button.setAttribute("aria-pressed", String(button.value === chosen));
  }
  // The answer to a form would be sent once more: there it holds from the next page on.
  const status = performance.getEntriesByType("navigation")[0]?.responseStatus ?? 200;
  if (status < 400) location.replace(stash(before));
});

export function freshId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // Off loopback and without TLS a browser has no randomUUID; this is RFC 9562, version 4.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
}

// One page may be shown twice, in two tabs or after going back: a form takes an identifier of its own
// as it is sent, and keeps it for this showing, so that a thing said twice in haste is said once.
let own = new WeakSet();

document.addEventListener("submit", (event) => {
  const entry = event.target.elements.namedItem("entry");
  if (!entry || own.has(event.target) || event.target.matches("[data-same]")) return;
  entry.value = freshId();
  own.add(event.target);
}, true);

function typed() {
  return [...document.querySelectorAll("input:not([type=hidden]), textarea")].some(
    (field) => field.value !== field.defaultValue || field.checked !== field.defaultChecked,
  );
}

// Nothing is typed, opened or held with the keyboard: what stands here may be shown anew.
export function undisturbed() {
  const main = document.getElementById("main");
  const held = document.activeElement;
  const idle = !main.contains(held) || held === main || held.matches("h1, h2");
  return !document.hidden && idle && !typed() && !main.querySelector("details[open]");
}

// A part of the page was shown anew: it may have asked for what takes long (templates/jobs.html).
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.target.id === "main") htmx.trigger(document.body, "work");
});

// Chosen by a quick thumb before anything here listened, or put back by the browser: noticed now.
document.addEventListener("htmx:load", () => {
  for (const select of document.querySelectorAll("form[hx-get] select")) {
    const given = [...select.options].findIndex((option) => option.defaultSelected);
    if (select.selectedIndex === Math.max(given, 0)) continue;
    for (const type of ["input", "change"]) select.dispatchEvent(new Event(type, { bubbles: true }));
  }
}, { once: true });

// What was being worked out is known. The Bench sees to itself.
document.addEventListener("work-ended", () => {
  if (undisturbed() && !document.querySelector(".bench")) location.reload();
});

// A page that is gone back to shows what was: it is asked for again, unless something is typed in it
// or it was the answer to a form, which that would send once more.
addEventListener("pageshow", (event) => {
  own = new WeakSet();
  const way = performance.getEntriesByType("navigation")[0];
  const back = event.persisted || way?.type === "back_forward";
  if (back && !typed() && (way?.responseStatus ?? 200) === 200) location.reload();
});

// Some answers take seconds: the button says that it was pressed.
document.addEventListener("submit", (event) => {
  const button = event.target.querySelector("[data-busy]");
  if (!button) return;
  const words = button.textContent;
  button.textContent = button.dataset.busy;
  button.setAttribute("aria-busy", "true");
  addEventListener("pageshow", () => {
    button.textContent = words;
    button.removeAttribute("aria-busy");
  }, { once: true });
});

restore();
// A form that came back is gone on with where it could not be used.
if (document.activeElement === document.body) document.querySelector('main [aria-invalid="true"]')?.focus();
showTheme(cookie("theme")); // a page kept for use without a network may hold an older choice
navigator.serviceWorker?.register("/worker.js");
addEventListener("online", checkNetwork);
addEventListener("offline", checkNetwork);
setInterval(checkNetwork, CHECK_EVERY_MS);
checkNetwork();
