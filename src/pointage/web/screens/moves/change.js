// The time of a step of a bake, or of its bread, moved over the drawing of the week by hand or with the
// arrow keys. It moves the fields of the form, and the form asks what else would move.

import { STEP, putAt, putOver, read, timeAt, written } from "./beads.js";

const form = document.querySelector("form.wish");
const { day, clock, step } = form.elements;
const named = document.querySelectorAll(".of");
let held = false;

const typed = () => read(day.value, clock.value);
const drawing = () => document.querySelector(".week-drawing");

// What else can be moved: the other steps by their beads, and the bread.
function others() {
  const there = drawing();
  if (!there) return [];
  const beads = [...there.querySelectorAll("[data-step]")].map((bead) => ({ bead, ...bead.dataset }));
  const bread = { step: "", name: there.dataset.ready, at: there.dataset.at };
  return [...beads, bread].filter((each) => each.step !== step.value && each.at);
}

function put(time) {
  if (Number.isNaN(time.getTime())) return;
  const [date, rest] = written(time);
  if (date === day.value && rest === clock.value) return;
  [day.value, clock.value] = [date, rest];
  place();
  clock.dispatchEvent(new Event("input", { bubbles: true }));
}

const by = (minutes) => put(new Date(typed().getTime() + minutes * 60_000));

// From now on another step, or the bread, is what is moved.
function choose({ step: key, name, at }) {
  step.value = key;
  for (const each of named) each.textContent = name;
  const link = document.querySelector(`[data-of="${key}"]`);
  const planned = link?.parentElement.querySelector("time");
  if (planned) document.querySelector(".planned").replaceChildren(planned.cloneNode(true));
  [day.value, clock.value] = at.split("T");
  place();
}

function slider(class_, name, key, at) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = class_;
  made.dataset.key = key;
  const [date, time] = at.split("T");
  const [hours, minutes] = time.split(":").map(Number);
  const said = { role: "slider", "aria-label": name, "aria-valuemin": 0, "aria-valuemax": 1439 };
  said["aria-valuenow"] = hours * 60 + minutes;
  said["aria-valuetext"] = `${date} ${time}`;
  for (const [attribute, value] of Object.entries(said)) made.setAttribute(attribute, value);
  drawing().append(made);
  return made;
}

// A handle over everything that can be moved; the one that is chosen stands where the fields say.
function place() {
  const there = drawing();
  if (!there) return;
  const focused = document.activeElement?.dataset?.key;
  for (const old of there.querySelectorAll("[role=slider]")) old.remove();
  for (const each of others()) {
    const handle = slider(each.bead ? "bead-handle" : "ready-handle other", each.name, each.step, each.at);
    if (each.bead) putOver(there, each.bead, handle);
    else if (!putAt(there, ...each.at.split("T"), handle)) handle.remove();
  }
  if (clock.value) {
    const handle = slider("ready-handle", named[0].textContent, step.value, `${day.value}T${clock.value}`);
    if (!putAt(there, day.value, clock.value, handle)) handle.remove();
  }
  if (focused !== undefined) focus(focused);
}

function focus(key) {
  drawing()?.querySelector(`[role=slider][data-key="${key}"]`)?.focus({ preventScroll: true });
}

// The bead nearest to a point: those of steps close together lie over each other.
function nearest(target, x) {
  if (!target.classList?.contains("bead-handle")) return target;
  const off = (each) => {
    const box = each.getBoundingClientRect();
    return Math.abs(box.left + box.width / 2 - x);
  };
  const top = target.style.top;
  const here = [...drawing().querySelectorAll(".bead-handle")].filter((each) => each.style.top === top);
  return here.sort((one, other) => off(one) - off(other))[0];
}

// The one that was taken hold of is what is moved from now on.
function hold(target) {
  if (target.getAttribute?.("role") !== "slider") return false;
  const key = target.dataset.key;
  const other = others().find((each) => each.step === key);
  if (other) choose(other);
  focus(key);
  return true;
}

const KEYS = { ArrowLeft: -STEP, ArrowRight: STEP, ArrowUp: -1440, ArrowDown: 1440 };

document.addEventListener("pointerdown", (event) => {
  held = hold(nearest(event.target, event.clientX));
  if (held) event.preventDefault(); // the focus is given above
});
document.addEventListener("pointermove", (event) => {
  const time = held && drawing() ? timeAt(drawing(), event) : null;
  if (time) put(time);
});
for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => (held = false));
document.addEventListener("keydown", (event) => {
  if (!(event.key in KEYS) || !hold(event.target)) return;
  event.preventDefault();
  by(KEYS[event.key]);
});
for (const quarter of form.querySelectorAll("[name=by]")) {
  quarter.type = "button";
  quarter.removeAttribute("name"); // what was clicked last would be sent with the fields
  quarter.addEventListener("click", () => by(Number(quarter.value)));
}
form.addEventListener("input", place);
window.addEventListener("resize", place);
let focused;
document.addEventListener("htmx:beforeSwap", () => {
  focused = document.activeElement?.dataset?.key;
});
document.addEventListener("htmx:afterSwap", () => {
  place();
  if (focused !== undefined) focus(focused);
});
place();
