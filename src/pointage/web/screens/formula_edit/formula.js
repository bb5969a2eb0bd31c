// A formula's draft, live: a cell that was typed is sent, and all that follows from it comes back.
// Without this file every button still does its work.

const form = document.getElementById("edit");
let asked = 0;

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
  for (const there of page.querySelectorAll("[data-live]")) {
    document.getElementById(there.id)?.replaceChildren(...there.childNodes);
  }
  for (const there of page.querySelectorAll("#edit input[type=hidden]")) {
    if (there.name !== "column") form.elements[there.name].value = there.value;
  }
  for (const there of typedIn(page)) {
    const here = document.getElementById(there.id);
    // What was typed while the answer was on its way stays, and is sent in its turn.
    if (here.value === sent.get(here.id)) here.value = there.value;
    for (const name of ["aria-invalid", "aria-describedby"]) {
      if (there.hasAttribute(name)) here.setAttribute(name, there.getAttribute(name));
      else here.removeAttribute(name);
    }
  }
}

async function calculate() {
  const mine = ++asked;
  const sent = new Map(typedIn(document).map((each) => [each.id, each.value]));
  const body = new URLSearchParams(new FormData(form));
  body.set("do", "look");
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
    if (ids(page) !== ids(document)) return location.replace(answer.url);
    history.replaceState(null, "", answer.url);
  }
  take(page, sent);
}

form.addEventListener("change", (event) => {
  if (/^(new-|row$|method$)/.test(event.target.name)) return; // these wait for their button
  calculate();
});

form.addEventListener("submit", (event) => {
  const pressed = event.submitter?.value ?? "";
  if (pressed === "look") {
    event.preventDefault();
    calculate();
  } else if (pressed.startsWith("column:")) {
    event.preventDefault();
    columnShown(pressed.slice("column:".length));
  }
});
