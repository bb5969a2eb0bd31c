// The ladder without a network: a pour is struck through and the rest follows what was poured.
// The server keeps the same rule and has the last word when it is told.

const round = (grams, step) => Math.round(grams / step) * step;

function digits(step) {
  return Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
}

// Whether the display has reached its aim; a pour that has not is poured on, not told.
export function reached(table, pour, said) {
  return said >= Number(table.querySelector(`[data-pour="${pour}"]`).dataset.display);
}

export function strike(table, pour, said) {
  const step = Number(table.dataset.step);
  const rows = [...table.querySelectorAll("[data-pour]")];
  const tools = table.querySelector(".tools");
  const here = rows[pour];
  const before = pour ? Number(rows[pour - 1].dataset.display) : Number(table.dataset.tare);
  const factor = (said - before) / Number(here.dataset.grams);
  table.querySelector(".tare").classList.add("done");
  write(here, said - before, said, step);
  here.className = "done";
  here.removeAttribute("aria-current");
  let display = said;
  for (const row of rows.slice(pour + 1)) {
    const grams = round(Number(row.dataset.grams) * factor, step);
    display += grams;
    write(row, grams, display, step);
  }
  const next = rows[pour + 1];
  if (!next) {
    tools.remove();
    return;
  }
  next.className = "here";
  next.setAttribute("aria-current", "step");
  next.after(tools);
  tools.querySelector("details").open = false;
  for (const form of tools.querySelectorAll("form")) form.elements.pour.value = pour + 1;
  tools.querySelector(".says input[name=display]").value = "";
  tools.querySelector(".poured input[name=display]").value = next.dataset.display;
}

function write(row, grams, display, step) {
  row.dataset.grams = grams;
  row.dataset.display = display;
  row.querySelector(".grams").textContent = grams.toFixed(digits(step));
  row.querySelector(".display").textContent = display.toFixed(digits(step));
}
