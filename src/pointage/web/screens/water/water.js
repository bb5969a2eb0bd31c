// The water without asking anyone: the balance is linear in what each part lacks, so the phone
// calculates it as the dial moves. formula/water.py and view.py do the same on the server.

const form = document.querySelector(".dials");
const answer = document.getElementById("answer");
const terms = Object.fromEntries(Object.entries(answer.dataset).map(([name, text]) => [name, Number(text)]));
const dials = [...form.querySelectorAll("[data-least]")];
const parts = [...answer.querySelectorAll("[data-heat]")].map((each) => ({
  dial: each.dataset.heat,
  curve: each.dataset.capacity.split(" ").map(Number),
}));

export function calculate(terms, parts, at) {
  const { waterKg, waterHeat, latentHeat, stop } = terms;
  const own = waterKg * waterHeat;
  const warm = at.wanted_c - at.friction_c;
  let lacking = 0;
  let heat = 0;
  let capacity = own;
  for (const { dial, curve: [a, b, d] } of parts) {
    const t = at[dial];
    const held = a + b * t + d * t * t;
    lacking += held * (warm - t);
    heat += held * t;
    capacity += held;
  }
  const water = warm + lacking / own;
  const reached = (celsius) => (heat + own * celsius) / capacity + at.friction_c;
  const allIce = -latentHeat / waterHeat;
  const tap = at.tap_c;
  const ice = water < tap ? (waterKg * (tap - water)) / (tap + latentHeat / waterHeat) : 0;
  const levain = at.levain_c !== undefined;
  const factor = (levain ? 4 : 3) * at.wanted_c - at.flour_c - at.room_c - (levain ? at.levain_c : 0) - at.friction_c;
  const hot = water > stop ? reached(stop) : undefined;
  const cold = water < allIce ? reached(allIce) : undefined;
  return { water, ice, factor, hot, cold };
}

// Degrees as shown, from °C and back. A field may say its own unit, as in "65 F".
const degrees = (celsius) => terms.zero + celsius * terms.kelvin;
const fahrenheit = terms.kelvin !== 1;
const written = (number) => `${number}`.replace(".", answer.dataset.point);
const rounded = (celsius) => (fahrenheit ? Math.floor(degrees(celsius) + 0.5) : Math.floor(celsius * 2 + 0.5) / 2);
const said = (celsius) => written(rounded(celsius)).replace("-", "−");
const sign = fahrenheit ? "°F" : "°C";
const apart = (number) => `${written(number)}\u00a0${sign}`;
function celsius(field) {
  const [, number, unit] = field.value.trim().match(/^([+−-]?[\d.,]+)\s*°?\s*([CFcf]?)$/) ?? [];
  const value = Number((number ?? "").replace(",", ".").replace("−", "-"));
  const isF = unit ? unit.toUpperCase() === "F" : fahrenheit;
  if (!number || !isF) return number ? value : NaN;
  return field.name === "friction_c" ? value / 1.8 : (value - 32) / 1.8;
}
const whole = (value) => Math.floor(value + 0.5);
const fill = (words, numbers) => words.replace(/\{(\w+)\}/g, (_, name) => numbers[name]);

function say(id, text) {
  const line = document.getElementById(id);
  line.hidden = text === "";
  if (line.textContent !== text) line.textContent = text; // a status is read out when it changes
}

function show() {
  const at = Object.fromEntries(dials.map((each) => [each.name, celsius(each)]));
  if (!Object.values(at).every(Number.isFinite)) return;
  const found = calculate(terms, parts, at);
  const ices = document.getElementById("ice").dataset.says;
  const beyond = document.getElementById("unreachable").dataset;
  const why = document.getElementById("why");
  const reachable = found.hot === undefined && found.cold === undefined;
  const ice = whole(1000 * found.ice);
  document.getElementById("water").textContent = reachable ? said(found.water) : "–";
  document.getElementById("factor").textContent = said(found.factor);
  say("ice", reachable && found.ice > 0 ? fill(ices, { ice, liquid: whole(1000 * terms.waterKg) - ice }) : "");
  let words = "";
  if (found.hot !== undefined) words = fill(beyond.hot, { water: whole(degrees(found.water)), nearest: written((Math.floor(degrees(found.hot) * 10) / 10).toFixed(1)) });
  if (found.cold !== undefined) words = fill(beyond.cold, { nearest: written((Math.ceil(degrees(found.cold) * 10) / 10).toFixed(1)) });
  say("unreachable", words);
  document.getElementById("care").hidden = !(reachable && found.water > terms.warm);
  const gap = rounded(found.water) - rounded(found.factor); // as they are shown
  if (!gap || Math.abs(found.water - found.factor) < terms.agree) why.textContent = why.dataset.same;
  else why.textContent = fill(gap > 0 ? why.dataset.warmer : why.dataset.colder, { gap: apart(Math.abs(gap)) });
}

for (const field of dials) {
  const slider = document.createElement("input");
  slider.type = "range";
  slider.min = field.dataset.least;
  slider.max = field.dataset.most;
  slider.step = field.dataset.step;
  slider.value = field.value;
  slider.setAttribute("aria-label", field.labels[0].textContent.trim());
  field.after(slider);
  slider.addEventListener("input", () => {
    field.value = slider.value;
    show();
  });
  field.addEventListener("input", () => {
    slider.value = field.value.replace(",", ".");
    show();
  });
}

form.dataset.live = "";
