// A bead of the week, taken hold of and let go at another time: what would move is shown on a page of
// its own, where it is taken or left.

import { putAt, timeAt, written } from "./beads.js";

const there = document.querySelector(".week-drawing");
let held = null;
let line = null;

function over(event) {
  const time = timeAt(there, event);
  if (!time) return;
  const [day, clock] = written(time);
  line ??= there.appendChild(Object.assign(document.createElement("span"), { className: "held" }));
  putAt(there, day, clock, line);
  line.dataset.clock = clock;
  held.to = { day, clock };
}

there?.addEventListener("pointerdown", (event) => {
  const { bake, step } = event.target.dataset ?? {};
  if (!step) return;
  held = { bake, step, from: event.clientX };
  there.setPointerCapture(event.pointerId);
  event.preventDefault();
});
there?.addEventListener("pointermove", (event) => {
  if (held && (held.to || Math.abs(event.clientX - held.from) > 3)) over(event);
});
there?.addEventListener("pointerup", () => {
  if (!held) return;
  const { bake, step, to } = held;
  location.href = `/week/change/${bake}?${new URLSearchParams({ step, ...to })}`;
  held = null;
});
there?.addEventListener("pointercancel", () => {
  held = null;
  line?.remove();
  line = null;
});
