// A formula's draft, live: a cell that was typed is sent, and all that follows from it comes back.
// Without this file every button still does its work.

let form = document.getElementById("edit");
let asked = 0;
const WAITS = /^(new-|row$|method$)/; // fields that have a button of their own

function columnShown(key) {
  form.elements.column.value = key;
  for (const each of form.querySelectorAll(".tab")) {
    each.setAttribute("aria-pressed", String(each.value === `column:${key}`));
  }
  const heads = [...form.querySelectorAll("thead th")];
  const place = heads.findIndex((each) => each.dataset.column === key);
  for (const row of form.querySelectorAll(".grid tr")) {
    [...row.querySelectorAll(".at")].forEach((each, n) => each.classList.toggle("here", n === place));
  }
  for (const each of form.querySelectorAll("details.stage")) {
    each.classList.toggle("here", each.dataset.column === key);
  }
}

const typedIn = (root) => [...root.querySelectorAll("#edit input[id], #edit select[id], #edit textarea[id]")];

function take(page, sent) {
  const known = new Set([...form.querySelectorAll("[aria-invalid]")].map((each) => each.id));
  for (const there of page.querySelectorAll("[data-live]")) {
    document.getElementById(there.id)?.replaceChildren(...there.childNodes);
  }
  for (const there of page.querySelectorAll("#edit input[type=hidden]")) {
    if (there.name !== "column") form.elements[there.name].value = there.value;
  }
  for (const there of typedIn(page)) {
    const here = document.getElementById(there.id);
    if (WAITS.test(here.name)) continue;
    // What was typed while the answer was on its way stays, and is sent in its turn.
    if (here.value === sent.get(here.id)) here.value = there.value;
    for (const name of ["aria-invalid", "aria-describedby"]) {
      if (there.hasAttribute(name)) here.setAttribute(name, there.getAttribute(name));
      else here.removeAttribute(name);
    }
    document.getElementById(`${there.id}-error`)?.remove(); // of a cell it is in a place of its own
    const why = page.getElementById(`${there.id}-error`);
    if (why) here.after(why);
  }
  const wrong = [...form.querySelectorAll("[aria-invalid]")].find((each) => !known.has(each.id));
  if (wrong) document.getElementById(wrong.getAttribute("aria-describedby"))?.scrollIntoView({ block: "nearest" });
}

// The form has other fields now: it is shown anew, with what waits in it, what was open and the
// keyboard where they were.
function change(page, sent) {
  const there = page.getElementById("edit");
  for (const field of typedIn(page)) {
    const here = document.getElementById(field.id);
    if (here && (WAITS.test(here.name) || here.value !== sent.get(here.id))) field.value = here.value;
  }
  for (const { id } of form.querySelectorAll("details[open] > summary")) {
    const folded = there.querySelector(`details:has(> #${CSS.escape(id)})`);
    if (folded) folded.open = true;
  }
  const held = form.contains(document.activeElement) && document.activeElement;
  form.replaceWith(there);
  form = there;
  listen();
  if (!held) return;
  const again = held.id ? document.getElementById(held.id) : form.querySelector(`button[value="${CSS.escape(held.value ?? "")}"]`);
  (again ?? form.elements.row).focus({ preventScroll: true });
}

async function calculate() {
  const mine = ++asked;
  const sent = new Map(typedIn(document).map((each) => [each.id, each.value]));
  const body = new URLSearchParams(new FormData(form));
  body.set("do", "live");
  let answer;
  try {
    answer = await fetch(form.action, { method: "POST", body });
  } catch {
    return; // the page says by itself that there is no network
  }
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (mine !== asked || !page.getElementById("edit")) return;
  const ids = (root) => typedIn(root).map((each) => each.id).join();
  if (answer.redirected) {
    history.replaceState(null, "", answer.url);
    if (ids(page) !== ids(document)) return change(page, sent);
  }
  take(page, sent);
}

const ownButton = (field) => field.closest(".adds, details").querySelector("button:not([value^=settle])");

function listen() {
  form.addEventListener("change", (event) => {
    if (!WAITS.test(event.target.name)) calculate();
  });

  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !WAITS.test(event.target.name) || !event.target.matches("input")) return;
    event.preventDefault();
    ownButton(event.target).click();
  });

  form.addEventListener("submit", (event) => {
    const pressed = event.submitter?.value ?? "";
    const waiting = ["row", "new-name", "method"].some((name) => form.elements[name]?.value.trim());
    if (pressed === "look" && !waiting) {
      event.preventDefault();
      calculate();
    } else if (pressed.startsWith("column:")) {
      event.preventDefault();
      columnShown(pressed.slice("column:".length));
    }
  });

  // On a phone the cell that is wrong may be in a column that is not shown.
  form.addEventListener("click", (event) => {
    const id = event.target.closest?.("#wrong a")?.hash.slice(1);
    const cell = id && document.getElementById(id);
    if (!cell) return;
    event.preventDefault();
    const at = cell.closest(".at");
    if (at?.tagName === "TD") columnShown(form.querySelectorAll("thead th")[[...at.parentElement.querySelectorAll(".at")].indexOf(at)].dataset.column);
    const folded = cell.closest("details");
    if (folded?.dataset.column) columnShown(folded.dataset.column);
    if (folded) folded.open = true;
    cell.focus();
  });
}

listen();
