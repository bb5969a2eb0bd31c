// The ready time of a bake, moved over the drawing of the week by hand or with the arrow keys. It moves
// the fields of the form, and the form asks what else would move.

const form = document.querySelector("form.wish");
const { day, clock } = form.elements;
const STEP = 15;
const HANDLE = "ready-handle";
let held = false;

// By the clock on the wall, as the drawing is; UTC has no gaps.
const typed = () => new Date(`${day.value}T${clock.value}Z`);
const drawing = () => document.querySelector(".week-drawing");

function put(time) {
  if (Number.isNaN(time.getTime())) return;
  const [date, rest] = time.toISOString().split("T");
  if (date === day.value && rest.slice(0, 5) === clock.value) return;
  day.value = date;
  clock.value = rest.slice(0, 5);
  place();
  clock.dispatchEvent(new Event("input", { bubbles: true }));
}

const by = (minutes) => put(new Date(typed().getTime() + minutes * 60_000));

// The handle stands where the fields say; a drawing that was made anew is given one.
function place() {
  const there = drawing();
  const field = there?.querySelector(`[data-day="${day.value}"]`);
  let handle = there?.querySelector(`.${HANDLE}`);
  if (!there || !field || !clock.value) {
    handle?.remove();
    return;
  }
  if (!handle) {
    handle = document.createElement("button");
    handle.type = "button";
    handle.className = HANDLE;
    handle.setAttribute("role", "slider");
    handle.setAttribute("aria-label", there.dataset.ready);
    handle.setAttribute("aria-valuemin", "0");
    handle.setAttribute("aria-valuemax", "1439");
    there.append(handle);
  }
  const [hours, minutes] = clock.value.split(":").map(Number);
  const [frame, box] = [there.getBoundingClientRect(), field.getBoundingClientRect()];
  handle.style.left = `${box.left - frame.left + ((hours + minutes / 60) / 24) * box.width}px`;
  handle.style.top = `${box.top - frame.top}px`;
  handle.style.height = `${box.height}px`;
  handle.setAttribute("aria-valuenow", `${hours * 60 + minutes}`);
  handle.setAttribute("aria-valuetext", `${day.value} ${clock.value}`);
}

function drag({ clientX, clientY }) {
  const fields = [...(drawing()?.querySelectorAll("[data-day]") ?? [])];
  const near = (box) => Math.max(box.top - clientY, clientY - box.bottom, 0);
  const found = fields
    .map((field) => [field.dataset.day, field.getBoundingClientRect()])
    .sort(([, one], [, other]) => near(one) - near(other))[0];
  if (!found) return;
  const [date, box] = found;
  const share = Math.min(1, Math.max(0, (clientX - box.left) / box.width));
  const steps = Math.min(Math.round((share * 1440) / STEP), 1440 / STEP - 1);
  put(new Date(Date.parse(`${date}T00:00Z`) + steps * STEP * 60_000));
}

const KEYS = { ArrowLeft: -STEP, ArrowRight: STEP, ArrowUp: -1440, ArrowDown: 1440 };

document.addEventListener("pointerdown", (event) => {
  held = event.target.classList?.contains(HANDLE) ?? false;
});
document.addEventListener("pointermove", (event) => {
  if (held) drag(event);
});
for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => (held = false));
document.addEventListener("keydown", (event) => {
  if (!event.target.classList?.contains(HANDLE) || !(event.key in KEYS)) return;
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
let focused = false;
document.addEventListener("htmx:beforeSwap", () => {
  focused = document.activeElement?.classList.contains(HANDLE) ?? false;
});
document.addEventListener("htmx:afterSwap", () => {
  place();
  if (focused) drawing()?.querySelector(`.${HANDLE}`)?.focus({ preventScroll: true });
});
place();
