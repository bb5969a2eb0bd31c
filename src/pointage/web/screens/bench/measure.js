// A rise off a photograph: three lines on a vessel with straight sides, upright or leaning, and how far
// they can be wrong.

import { put } from "./outbox.js";
import { freshId, instant } from "./page.js";
import { say } from "./texts.js";

const PLACED = 0.006; // of the picture's height: how well a thumb places a line
const TILT = Math.tan((15 * Math.PI) / 180) / 2.5; // so far tilted, from no nearer than 2.5 heights
const WIDEST = 900; // pixels of the picture that is shown
const LINES = ["top", "mark", "bottom"];

const RULED = 0.02; // of a width that was measured with a ruler, and of one seen past a round side
const TAPERS = [0.6, 1.8]; // the width at the level over that at the bottom: beyond, it is no such jar

// The rise and its doubt, from where the lines are, in shares of the picture's height from its top.
// Of a vessel that is not tilted heights are as in life: high = (bottom − top) / (bottom − mark).
// Tilted, a height z is seen at z / (1 + c z): with c at most TILT over the whole height, a ratio R is
// seen as R (1 + c) / (1 + c R), which is off by (R − 1) TILT at most. Null where the lines cross.
//
// wider: of a jar that widens or narrows, its width at the level over that at the bottom, and the
// share that this is off by. What stands in it is then a frustum of a cone: see volume().
export function risen(top, mark, bottom, wider = { ratio: 1, off: 0 }) {
  const mixed = bottom - mark;
  const now = bottom - top;
  const { ratio, off } = wider;
  if (!(mixed > 0.02) || !(now > 0.02) || !(ratio >= TAPERS[0] && ratio <= TAPERS[1])) return null;
  const high = now / mixed;
  const placed = (PLACED * Math.hypot(1, high, high - 1)) / mixed;
  const doubt = Math.hypot(placed, Math.abs(high - 1) * TILT);
  const half = (one, other) => Math.abs(one - other) / 2;
  const byHeight = half(volume(high + doubt, ratio), volume(Math.max(high - doubt, 0.05), ratio));
  const byWidth = half(volume(high, ratio * (1 + off)), volume(high, ratio * (1 - off)));
  return { rise: volume(high, ratio), doubt: Math.hypot(byHeight, byWidth) };
}

// The volume up to a level over that up to the mark, a height of 1. A frustum of height h between the
// widths 1 and q holds h (1 + q + q²) π/12, and at the mark this one is 1 + (q − 1) / h wide.
function volume(high, ratio) {
  const at = 1 + (ratio - 1) / high;
  return (high * (1 + ratio + ratio ** 2)) / (1 + at + at ** 2);
}

// How much wider it is at the level than at the bottom: as typed, or as its four corners were touched.
// A camera that is tilted sees the end that leans away smaller, by TILT at most.
export function leaning(typed, corners, placed) {
  const [below, above] = typed;
  if (below > 0 && above > 0) return { ratio: above / below, off: Math.hypot(RULED, RULED) };
  const [low, level] = corners.map(([left, right]) => right - left);
  if (!(low > 0.02) || !(level > 0.02)) return { ratio: NaN, off: 0 };
  return { ratio: level / low, off: Math.hypot(TILT + RULED, placed * Math.SQRT2 * Math.hypot(1 / low, 1 / level)) };
}

const photographs = new WeakMap(); // by its form, what was measured there

document.addEventListener("change", async ({ target }) => {
  if (!target.matches(".measure input[type=file]") || !target.files.length) return;
  const place = target.closest(".measure");
  const form = target.form;
  place.querySelector("output").textContent = "";
  let picture;
  try {
    picture = await createImageBitmap(target.files[0]);
  } catch {
    place.querySelector("output").textContent = say("no_picture");
    return;
  }
  photographs.set(form, { file: target.files[0], picture });
  place.querySelector(".picture").hidden = false;
  draw(form);
});

document.addEventListener("input", ({ target }) => {
  if (target.matches(".picture input")) draw(target.form);
});

// A touch moves the line that is nearest to it, and of a jar that widens the corner.
document.addEventListener("pointerdown", (event) => {
  const canvas = event.target.closest?.(".measure canvas");
  if (!canvas) return;
  const box = canvas.getBoundingClientRect();
  const form = canvas.closest("form");
  move(ranges(form), (1000 * (event.clientY - box.top)) / box.height, (line) => {
    const corners = widens(form) ? edges(form, line.dataset.line) : [];
    if (corners.length) move(corners, (1000 * (event.clientX - box.left)) / box.width);
  });
  draw(form);
});

function move(all, at, then) {
  const off = (each) => Math.abs(Number(each.value) - at);
  const nearest = all.reduce((best, each) => (off(each) < off(best) ? each : best));
  nearest.value = at;
  then?.(nearest);
}

const ranges = (form) => LINES.map((name) => form.querySelector(`[data-line=${name}]`));
const edges = (form, line) => [...form.querySelectorAll(`[data-edge=${line}]`)];
const widens = (form) => form.querySelector("[name=sides]:checked").value === "wider";
const share = (range) => Number(range.value) / 1000;
const typedWidths = (form) =>
  ["bottom", "top"].map((line) => Number(form.querySelector(`[data-width=${line}]`).value.replace(",", ".")));

function draw(form) {
  const { picture } = photographs.get(form);
  const canvas = form.querySelector(".measure canvas");
  const scale = Math.min(1, WIDEST / picture.width);
  canvas.width = picture.width * scale;
  canvas.height = picture.height * scale;
  const pen = canvas.getContext("2d");
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  const shares = ranges(form).map(share);
  const wide = widens(form);
  for (const each of form.querySelectorAll(".taper")) each.hidden = !wide;
  const stroke = (x1, y1, x2, y2, colour) => {
    for (const [ink, width] of [["#000", 5], [colour, 2]]) {
      pen.strokeStyle = ink;
      pen.lineWidth = width;
      pen.beginPath();
      pen.moveTo(x1, y1);
      pen.lineTo(x2, y2);
      pen.stroke();
    }
  };
  shares.forEach((at, line) => {
    const y = at * canvas.height;
    stroke(0, y, canvas.width, y, line === 1 ? "#fff" : "#fc6");
    if (!wide) return;
    for (const x of edges(form, LINES[line]).map((each) => share(each) * canvas.width)) stroke(x, y - 14, x, y + 14, "#fc6");
  });
  const corners = ["bottom", "top"].map((line) => edges(form, line).map(share));
  const lean = wide ? leaning(typedWidths(form), corners, (PLACED * canvas.height) / canvas.width) : undefined;
  const found = risen(...shares, lean);
  const apart = risen(...shares);
  const words = form.querySelector(".measure output");
  words.textContent = found
    ? say("measured", { rise: found.rise.toFixed(2), doubt: found.doubt.toFixed(2) })
    : apart ? say("no_jar") : say("crossed");
  form.elements.value.value = found ? found.rise.toFixed(2) : "";
  photographs.get(form).words = found && words.textContent;
}

// The reading goes as any other; its picture is kept after it, and sent when there is a network.
document.addEventListener("kept", ({ target }) => {
  const measured = photographs.get(target);
  if (!measured?.words) return;
  photographs.delete(target);
  keep(target, measured.file, measured.words).catch(() => alert(say("not_pictured")));
});

// So does a picture by itself. Where this phone has no room for it, the form is sent as it is.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.getAttribute("action") !== "/daybook/photo") return;
  event.preventDefault();
  keep(form, form.elements.photo.files[0], "").then(() => {
    form.closest("details").open = false;
    form.reset();
  }, () => form.submit());
});

async function keep(form, file, caption) {
  const { bake, step } = form.elements;
  const id = freshId();
  const now = instant();
  const fields = { entry: id, bake: bake.value, step: step.value, caption, happened: now.toISOString() };
  if (!caption) delete fields.caption;
  const title = form.closest("section")?.querySelector("h2")?.textContent ?? "";
  const words = `${now.toTimeString().slice(0, 5)} ${title}: ${say("photo")}`;
  await put({ id, path: "/daybook/photo", fields, words, refused: "", photo: file });
  document.dispatchEvent(new Event("to-send"));
}

// Pages are taken in without a script too: what needs it appears with it.
function shown() {
  for (const each of document.querySelectorAll(".measure")) each.hidden = false;
}
document.addEventListener("htmx:afterSwap", shown);
shown();
