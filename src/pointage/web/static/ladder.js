// The ladder without a network: a pour is struck through and the rest follows what was poured.
// The server keeps the same rule and has the last word when it hears of it.

function digits(step) {
  return Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
}

const rowsOf = (table) => [...table.querySelectorAll("[data-pour]")];

// In several bowls each begins at its own tare, and what goes into one changes nothing of the others.
function readingBefore(table, pour) {
  const rows = rowsOf(table);
  if (!pour) return Number(table.dataset.tare);
  return Number(rows[pour].dataset.tare ?? rows[pour - 1].dataset.display);
}

function endOfBowl(rows, pour) {
  const next = rows.findIndex((row, number) => number > pour && "tare" in row.dataset);
  return next < 0 ? rows.length : next;
}

function end(table, pour) {
  const rows = rowsOf(table);
  return Number(rows[endOfBowl(rows, pour) - 1].dataset.display);
}

// A display goes up with every pour, and no further than a total that is kept: any other number
// was mistyped.
export function possible(table, pour, said, keep = table.dataset.keep) {
  const most = keep === "total" ? end(table, pour) : Infinity;
  return Number.isFinite(said) && said > readingBefore(table, pour) && said <= most;
}

// What the later pours are multiplied by, so that the proportions are kept or the total is.
function factorFor(table, pour, said) {
  const rows = rowsOf(table);
  if (table.dataset.keep !== "total") {
    return (said - readingBefore(table, pour)) / Number(rows[pour].dataset.grams);
  }
  const toCome = rows.slice(pour + 1, endOfBowl(rows, pour)).reduce((sum, row) => sum + Number(row.dataset.grams), 0);
  return toCome ? (end(table, pour) - said) / toCome : 1;
}

export function strike(table, pour, said, keep = table.dataset.keep) {
  const step = Number(table.dataset.step);
  const rows = rowsOf(table);
  const before = readingBefore(table, pour);
  table.dataset.keep = keep;
  const factor = factorFor(table, pour, said);
  (rows[pour].dataset.tare ? rows[pour].previousElementSibling : table.querySelector(".tare")).classList.add("done");
  write(rows[pour], said - before, said, step);
  rows[pour].className = "done";
  rows[pour].removeAttribute("aria-current");
  let exact = said;
  let last = said;
  for (const row of rows.slice(pour + 1, endOfBowl(rows, pour))) {
    exact += factor * Number(row.dataset.grams);
    const display = Math.max(Math.round(exact / step) * step, last);
    write(row, display - last, display, step);
    last = display;
  }
  moveTools(table, rows[pour + 1]);
}

function moveTools(table, next) {
  const tools = table.querySelector(".tools");
  if (!next) {
    tools?.remove();
    return;
  }
  next.className = "here";
  next.setAttribute("aria-current", "step");
  next.after(tools);
  tools.querySelector("details").open = false;
  for (const form of tools.querySelectorAll("form")) form.elements.pour.value = next.dataset.pour;
  tools.querySelector(".says input[name=display]").value = "";
  tools.querySelector(".poured input[name=display]").value = next.dataset.display;
}

function write(row, grams, display, step) {
  row.dataset.grams = grams;
  row.dataset.display = display;
  row.querySelector(".grams").textContent = grams.toFixed(digits(step));
  row.querySelector(".display").textContent = display.toFixed(digits(step));
}
