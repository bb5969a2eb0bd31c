// What the shared pages have in common: their figures and texts, a reader's units, and what a
// browser may keep of what was typed.
const shared = JSON.parse(document.getElementById("facts").textContent);
const byId = (id) => document.getElementById(id);
const units = { degrees: "C", clock: "24", ounces: "no", ...shared.shown };
const SPACE = "\u00a0";
// The reader's own way with days and numbers, where it is of the page's language.
const LOCALE = (navigator.languages || []).find((each) => each.split("-")[0] === shared.lang.split("-")[0]) || shared.lang;

function filled(text, parts) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in parts ? parts[name] : whole));
}

function say(key, parts = {}) {
  return filled(shared.texts[key], parts);
}

function number(value, digits = 0) {
  return new Intl.NumberFormat(LOCALE, { maximumFractionDigits: digits, useGrouping: false }).format(value);
}

// A number as it was typed, a comma as good as a point; NaN for none.
function parsed(text) {
  const found = /^\s*([-−+]?\d+(?:[.,]\d+)?)\s*(.*?)\s*$/.exec(text);
  return found ? [Number(found[1].replace("−", "-").replace(",", ".")), found[2].toLowerCase()] : [NaN, ""];
}

function warmth(celsius, finer) {
  if (units.degrees === "F") return `${number(Math.round(celsius * 1.8 + 32))}${SPACE}°F`;
  return `${number(finer ? Math.round(10 * celsius) / 10 : Math.round(2 * celsius) / 2, 1)}${SPACE}°C`;
}

function difference(kelvin) {
  return units.degrees === "F" ? `${number(kelvin * 1.8, 1)}${SPACE}°F` : `${number(kelvin, 1)}${SPACE}°C`;
}

function readWarmth(text, isDifference) {
  const [value, unit] = parsed(text);
  const fahrenheit = unit.includes("f") || (!unit.includes("c") && units.degrees === "F");
  if (!fahrenheit) return value;
  return isDifference ? value / 1.8 : (value - 32) / 1.8;
}

function mass(grams) {
  const shown = grams < 10 ? number(grams, 1) : number(Math.round(grams));
  if (units.ounces !== "yes") return `${shown}${SPACE}g`;
  const ounces = grams / 28.349523125;
  const beside = ounces >= 16 ? `${Math.floor(Math.round(10 * ounces) / 160)}${SPACE}lb ${number(Math.round(10 * ounces) % 160 / 10, 1)}${SPACE}oz` : `${number(ounces, ounces < 1 ? 2 : 1)}${SPACE}oz`;
  return `${shown}${SPACE}g (${beside})`;
}

function readMass(text) {
  const [value, unit] = parsed(text);
  const grams = { g: 1, "": 1, kg: 1000, oz: 28.349523125, lb: 453.59237 }[unit];
  return grams ? value * grams : NaN;
}

function timeOf(date) {
  return new Intl.DateTimeFormat(LOCALE, { hour: "numeric", minute: "2-digit", hour12: units.clock === "12" }).format(date);
}

function dayOf(date) {
  return new Intl.DateTimeFormat(LOCALE, { weekday: "long", day: "numeric", month: "short" }).format(date);
}

function spell(hours) {
  const minutes = Math.round(60 * hours);
  if (minutes < 90) return say("minutes", { n: number(minutes) });
  return minutes % 60 ? say("hoursMinutes", { h: number(Math.floor(minutes / 60)), m: number(minutes % 60) }) : say("hours", { n: number(minutes / 60) });
}

// Whole grams that come to what all of them come to, the most cut ones rounded up.
function roundedTogether(kilograms, step = 1) {
  const exact = kilograms.map((kg) => Math.max(0, 1000 * kg) / step);
  const found = exact.map((each) => Math.floor(each + 1e-9));
  let left = Math.round(exact.reduce((a, b) => a + b, 0)) - found.reduce((a, b) => a + b, 0);
  const order = exact.map((each, i) => [each - found[i], i]).sort((a, b) => b[0] - a[0]);
  for (const [, i] of order) if (left-- > 0) found[i] += 1;
  return found.map((each) => each * step);
}

function element(name, text, kind) {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

function rowsInto(table, heads, rows) {
  const head = element("thead"), body = element("tbody"), top = element("tr");
  for (const [i, text] of heads.entries()) {
    const cell = element(i ? "th" : "td", text);
    if (i) cell.scope = "col";
    top.append(cell);
  }
  head.append(top);
  for (const row of rows) {
    const line = element("tr");
    row.forEach((text, i) => {
      const cell = element(i ? "td" : "th", text);
      if (!i) cell.scope = "row";
      else cell.dataset.head = heads[i];
      line.append(cell);
    });
    body.append(line);
  }
  table.replaceChildren(head, body);
}

// A browser may forbid keeping anything, most of all for a file: the page then forgets.
const kept = {
  read(key) {
    try {
      return JSON.parse(localStorage.getItem(key) || "null");
    } catch {
      return null;
    }
  },
  write(key, value) {
    try {
      localStorage.setItem(key, JSON.stringify(value));
    } catch { /* it works without */ }
  },
};

function complain(input, text) {
  const field = byId(`${input.id}-field`);
  field.querySelectorAll(".error").forEach((each) => each.remove());
  input.removeAttribute("aria-invalid");
  if (!text) return;
  input.setAttribute("aria-invalid", "true");
  const error = element("p", text, "error");
  error.setAttribute("role", "alert");
  field.append(error);
}
