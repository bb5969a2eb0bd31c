// A rise off a photograph: three lines on a straight-sided vessel, and how far they can be wrong.

import { put } from "./outbox.js";
import { freshId, instant } from "./page.js";
import { say } from "./texts.js";

const PLACED = 0.006; // of the picture's height: how well a thumb places a line
const TILT = Math.tan((15 * Math.PI) / 180) / 2.5; // so far tilted, from no nearer than 2.5 heights
const WIDEST = 900; // pixels of the picture that is shown
const LINES = ["top", "mark", "bottom"];

// The rise and its doubt, from where the lines are, in shares of the picture's height from its top.
// Of a vessel that is not tilted heights are as in life: rise = (bottom − top) / (bottom − mark).
// Tilted, a height z is seen at z / (1 + c z): with c at most TILT over the whole height, a rise R is
// seen as R (1 + c) / (1 + c R), which is off by (R − 1) TILT at most. Null where the lines cross.
export function risen(top, mark, bottom) {
  const mixed = bottom - mark;
  const now = bottom - top;
  if (!(mixed > 0.02) || !(now > 0.02)) return null;
  const rise = now / mixed;
  const placed = (PLACED * Math.hypot(1, rise, rise - 1)) / mixed;
  return { rise, doubt: Math.hypot(placed, Math.abs(rise - 1) * TILT) };
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
  if (target.matches(".measure input[type=range]")) draw(target.form);
});

// A touch moves the line that is nearest to it.
document.addEventListener("pointerdown", (event) => {
  const canvas = event.target.closest?.(".measure canvas");
  if (!canvas) return;
  const box = canvas.getBoundingClientRect();
  const at = (1000 * (event.clientY - box.top)) / box.height;
  const lines = ranges(canvas.closest("form"));
  const nearest = lines.reduce((best, each) => (off(each, at) < off(best, at) ? each : best));
  nearest.value = at;
  draw(nearest.form);
});

const off = (line, at) => Math.abs(Number(line.value) - at);
const ranges = (form) => LINES.map((name) => form.querySelector(`[data-line=${name}]`));

function draw(form) {
  const { picture } = photographs.get(form);
  const canvas = form.querySelector(".measure canvas");
  const scale = Math.min(1, WIDEST / picture.width);
  canvas.width = picture.width * scale;
  canvas.height = picture.height * scale;
  const pen = canvas.getContext("2d");
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  const shares = ranges(form).map((each) => Number(each.value) / 1000);
  shares.forEach((share, line) => {
    const y = share * canvas.height;
    for (const [colour, width] of [["#000", 5], [line === 1 ? "#fff" : "#fc6", 2]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.beginPath();
      pen.moveTo(0, y);
      pen.lineTo(canvas.width, y);
      pen.stroke();
    }
  });
  const found = risen(...shares);
  const words = form.querySelector(".measure output");
  words.textContent = found
    ? say("measured", { rise: found.rise.toFixed(2), doubt: found.doubt.toFixed(2) })
    : say("crossed");
  if (found) form.elements.value.value = found.rise.toFixed(2);
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
