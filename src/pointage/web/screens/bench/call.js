// The Bench calls: what is due is heard, felt and shown, and the screen stays on while a mix is poured.
// A phone that sleeps lets no page count: what fell due meanwhile is called when it wakes.

import { instant } from "./page.js";
import { say } from "./texts.js";

const EVERY_MS = 15_000;
const AWAKE_MS = 30 * 60_000; // a mix that nobody touches for so long is over, or left
const WANTED = "call"; // of localStorage
const main = document.getElementById("main");
let since = instant().getTime();
let lock = null;
let poured = 0;

const wanted = () => localStorage.getItem(WANTED) === "yes";

// What asks for hands, with its instant: the first thing, and those to come.
function steps() {
  const rows = [main.querySelector(".now:has(.due)"), ...main.querySelectorAll("[data-coming]")];
  return rows.filter(Boolean).map((row) => ({
    at: Date.parse(row.querySelector("time").dateTime),
    title: row.querySelector("h1, summary > span").textContent.trim(),
  }));
}

function look() {
  const now = instant().getTime();
  const due = steps().filter(({ at }) => at > since && at <= now);
  since = now;
  if (wanted()) due.forEach(({ title }) => call(title));
  if (lock && Date.now() - poured > AWAKE_MS) sleep();
}

async function call(title) {
  const words = say("due", { title });
  document.title = `${words} · ${document.title.replace(/^.* · /, "")}`;
  navigator.vibrate?.([300, 150, 300]);
  beep();
  if (globalThis.Notification?.permission !== "granted") return;
  const worker = await navigator.serviceWorker?.ready;
  worker?.showNotification(words, { icon: "/static/icon.svg", tag: title });
}

// Two short tones, made here: there is no file to fetch.
function beep() {
  const sound = new AudioContext();
  for (const at of [0, 0.35]) {
    const tone = sound.createOscillator();
    const volume = sound.createGain();
    tone.frequency.value = 660;
    volume.gain.value = 0.2;
    tone.connect(volume).connect(sound.destination);
    tone.start(at);
    tone.stop(at + 0.2);
  }
  setTimeout(() => sound.close(), 1_000);
}

function shown() {
  const line = main.querySelector(".call");
  if (!line) return;
  line.hidden = false;
  line.querySelector("button").setAttribute("aria-pressed", wanted());
}

document.addEventListener("click", async (event) => {
  if (!event.target.closest(".call button")) return;
  localStorage.setItem(WANTED, wanted() ? "no" : "yes");
  shown();
  if (!wanted()) return;
  beep(); // so that it is known how it will sound
  if (globalThis.Notification?.permission === "default") await Notification.requestPermission();
});

// While pours are being recorded the screen stays on; a hidden page loses its lock and asks again.
async function wake() {
  poured = Date.now();
  if (lock || !navigator.wakeLock || document.hidden) return;
  lock = await navigator.wakeLock.request("screen").catch(() => null);
  lock?.addEventListener("release", () => (lock = null));
}

function sleep() {
  lock?.release();
  poured = 0;
}

document.addEventListener("submit", ({ target }) => {
  if (target.getAttribute("action") === "/bench/poured") wake();
  if (target.getAttribute("action") === "/bench/done") sleep();
});
document.addEventListener("visibilitychange", () => {
  look();
  if (!document.hidden && Date.now() - poured < AWAKE_MS) wake();
});
document.addEventListener("htmx:afterSwap", shown);
setInterval(look, EVERY_MS);
shown();
