// A new culture in the learner's own room: the days between the rooms that were calculated, what was
// seen of them, and a class's files in one picture.
const raising = (() => {
  const { grid } = shared, FULLEST = 0.95, USUAL_G = 50, LEAST_G = 10, KEY = "pointage-raising", VERSION = 1;

  // The rooms on either side and how far it is to the warmer; null outside what was calculated.
  function between(room) {
    const last = grid.rooms.length - 1;
    if (!(room >= grid.rooms[0] && room <= grid.rooms[last])) return null;
    let i = 0;
    while (i < last - 1 && room > grid.rooms[i + 1]) i += 1;
    return [i, (room - grid.rooms[i]) / (grid.rooms[i + 1] - grid.rooms[i])];
  }

  // The days of a flour in a room: amounts and phase as in the nearer room, middles on a line
  // between the two, and bands that hold both.
  function days(flour, room) {
    const place = between(room), { rooms } = grid.flours[flour];
    if (!place) return null;
    const [i, part] = place, [cool, warm] = [rooms[i], rooms[i + 1]], near = part < 0.5 ? cool : warm;
    const mean = (a, b) => a + part * (b - a);
    const band = (a, b) => [Math.min(a[0], b[0]), mean(a[1], b[1]), Math.max(a[2], b[2])];
    return {
      litres: Math.max(cool.litres, warm.litres),
      ready: [cool.ready, warm.ready].sort((a, b) => (a || 99) - (b || 99)),
      days: near.days.map((day, k) => {
        const [a, b] = [cool.days[k], warm.days[k]];
        return { ...day, other: (part < 0.5 ? b : a).phase, rise: band(a.rise, b.rise), ph: band(a.ph, b.ph) };
      }),
    };
  }

  // Fresh flour of a feed: the usual, or what the jar holds at its highest.
  function flourFor(found, jar) {
    return Math.min(USUAL_G, Math.floor(FULLEST * jar / found.litres / 5) * 5);
  }

  // The water of a feed: what is kept stands at the room, as the flour does.
  function water(flour, room, keep, lively) {
    const wanted = Math.max(room, Math.min(room + (lively ? grid.warmth.lively : grid.warmth.at_first), grid.warmth.most));
    const { heat } = grid.flours[flour], kept = keep * (heat + grid.water) / 2;
    return wanted + (kept + heat) * (wanted - room) / grid.water;
  }

  // What a learner's file holds; null for what is none. Nothing of it is taken unlooked at.
  function opened(text) {
    try {
      const found = JSON.parse(text);
      if (found.what !== "young culture" || found.version !== VERSION) return null;
      const real = (value, low, high) => (Number.isFinite(value) && value >= low && value <= high ? value : null);
      const seen = Array.isArray(found.days) ? found.days : [];
      return {
        name: String(found.name || "").slice(0, 80), flour: String(found.flour || ""), room_c: real(found.room_c, 0, 45),
        jar_l: real(found.jar_l, 0.02, 20), started: String(found.started || "").slice(0, 16),
        days: seen.slice(0, 60).map((each) => ({
          day: real(each?.day, 1, 60), rise: real(each?.rise, 0.5, 9), ph: real(each?.ph, 2, 8), note: String(each?.note || "").slice(0, 300),
        })).filter((each) => each.day),
      };
    } catch {
      return null;
    }
  }

  return { between, days, flourFor, water, opened, KEY, VERSION, LEAST_G };
})();

(() => {
  const { grid } = shared, HOUR = 3600e3;
  const form = byId("kitchen"), LIVELY = ["waking", "strong"];
  let state = { name: "", room_c: 21, flour: grid.flours[0].name, jar_l: 0.75, started: local(new Date()), days: [] };

  function local(date) {
    const two = (n) => String(n).padStart(2, "0");
    return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}T${two(date.getHours())}:${two(date.getMinutes())}`;
  }

  const seenOn = (day) => state.days.find((each) => each.day === day) || { day, rise: null, ph: null, note: "" };

  function keep() {
    kept.write(raising.KEY, { state, units });
  }

  function showForm() {
    byId("name").value = state.name;
    byId("room").value = warmth(state.room_c, true).replace(SPACE, " ");
    byId("flour").value = state.flour;
    byId("jar").value = number(state.jar_l, 2);
    byId("start").value = state.started;
    for (const id of ["degrees", "ounces", "clock"]) byId(id).value = units[id];
  }

  // A field of what was seen of a day.
  function noteField(day, key, label, low, high) {
    const id = `${key}-${day}`, field = element("div", undefined, "field"), input = element("input");
    field.id = `${id}-field`;
    const name = element("label", label);
    name.htmlFor = id;
    input.id = id;
    input.autocomplete = "off";
    if (low !== undefined) input.inputMode = "decimal";
    const value = seenOn(day)[key];
    input.value = value === null ? "" : typeof value === "number" ? number(value, 2) : value;
    input.addEventListener("change", () => {
      const [typed] = parsed(input.value), empty = !input.value.trim();
      const good = low === undefined || empty || (typed >= low && typed <= high);
      complain(input, good ? "" : say("between", { low: number(low, 1), high: number(high, 1) }));
      if (!good) return;
      const seen = { ...seenOn(day), [key]: low === undefined ? input.value.trim() : empty ? null : typed };
      state.days = [...state.days.filter((each) => each.day !== day), seen].sort((a, b) => a.day - b.day);
      keep();
    });
    field.append(name, input);
    return field;
  }

  function dayBlock(day, i, found, flour) {
    const fresh = raising.flourFor(found, state.jar_l), before = found.days[i - 1];
    const at = new Date(new Date(state.started).getTime() + 24 * HOUR * i), block = element("article", undefined, "day");
    block.append(element("h3", say("day", { n: number(i + 1), day: dayOf(at), time: timeOf(at) })));
    const keepG = Math.round(day.keep * fresh), lines = [];
    if (!day.feeds) lines.push(say("stir"));
    else {
      if (i) lines.push(say("keepOnly", { mass: mass(keepG) }));
      const celsius = raising.water(flour, state.room_c, day.keep, before && LIVELY.includes(before.phase));
      lines.push(say("feed", { flour: mass(fresh), water: mass(fresh), warmth: warmth(celsius) }));
    }
    if (!before || before.open !== day.open) lines.push(say("lid", { how: shared.lids[Number(day.open)] }));
    const same = before && before.phase === day.phase, phase = grid.phases[day.phase];
    const both = day.other === day.phase ? phase.title : say("either", { one: phase.title, other: grid.phases[day.other].title });
    lines.push(say("expect", { phase: both, rise: number(day.rise[1], 1), low: number(day.rise[0], 1), high: number(day.rise[2], 1), ph: number(day.ph[1], 1) }));
    const warm = say("span", { low: warmth(grid.warm_c[0]), high: warmth(grid.warm_c[1]) });
    if (!same) for (const key of ["see", "smell", "feel", "unless"]) lines.push(say(key, { sign: filled(phase[key], { warm }) }));
    for (const line of lines) block.append(element("p", line));
    const fields = element("div", undefined, "fields");
    fields.append(noteField(i + 1, "rise", say("sawRise"), 0.5, 9), noteField(i + 1, "ph", say("sawPh"), 2, 8), noteField(i + 1, "note", say("sawNote")));
    block.append(fields);
    return block;
  }

  function show() {
    const flour = grid.flours.findIndex((each) => each.name === state.flour), found = raising.days(flour, state.room_c);
    const doubts = [], { rooms } = grid;
    if (!found) doubts.push(say("outside", { low: warmth(rooms[0]), high: warmth(rooms[rooms.length - 1]) }));
    const fresh = found ? raising.flourFor(found, state.jar_l) : 0;
    if (found && fresh < raising.LEAST_G) doubts.push(say("smallJar", { litres: number(raising.LEAST_G * found.litres / 0.95, 2) }));
    byId("doubts").replaceChildren(...doubts.map((text) => element("li", text)));
    const [soon, late] = found ? found.ready : [0, 0];
    byId("summary").textContent = !found ? "" : !soon ? say("neverReady", { n: number(grid.days) })
      : say(soon === late ? "ready" : late ? "readyBetween" : "readyFrom", { n: number(soon), late: number(late) });
    byId("days").replaceChildren(...(found && fresh >= raising.LEAST_G ? found.days.map((day, i) => dayBlock(day, i, found, flour)) : []));
    if (found && soon) byId("days").append(element("p", say("goOver", { mass: mass(fresh) }), "note"));
    byId("answer").hidden = false;
    byId("keep").hidden = false;
  }

  function changed(event) {
    const id = event?.target?.id;
    if (["degrees", "ounces", "clock"].includes(id)) {
      units[id] = byId(id).value;
      showForm();
    }
    const room = readWarmth(byId("room").value), [jar] = parsed(byId("jar").value), start = new Date(byId("start").value);
    const goodRoom = room >= 0 && room <= 45, goodJar = jar >= 0.02 && jar <= 20, goodStart = Number.isFinite(start.getTime());
    complain(byId("room"), goodRoom ? "" : say("between", { low: warmth(0), high: warmth(45) }));
    complain(byId("jar"), goodJar ? "" : say("between", { low: number(0.02, 2), high: number(20) }));
    complain(byId("start"), goodStart ? "" : say("aTime"));
    if (!(goodRoom && goodJar && goodStart)) return;
    state = { ...state, name: byId("name").value.trim().slice(0, 80), room_c: Math.round(100 * room) / 100, jar_l: jar, flour: byId("flour").value, started: byId("start").value };
    keep();
    show();
  }

  function save() {
    const whole = { what: "young culture", version: raising.VERSION, ...state, days: state.days.filter((each) => each.rise || each.ph || each.note) };
    const link = element("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(whole, null, 1)], { type: "application/json" }));
    link.download = `${(state.name || "culture").replace(/[^\p{L}\p{N}]+/gu, "-").slice(0, 40)}.json`;
    link.click();
    URL.revokeObjectURL(link.href);
  }

  async function filesOf(input) {
    const found = [], wrong = [];
    for (const file of input.files) {
      const one = raising.opened(file.size < 1e6 ? await file.text() : "");
      if (one) found.push(one); else wrong.push(file.name);
    }
    complain(input, wrong.length ? say("noFile", { names: wrong.join(", ") }) : "");
    return found;
  }

  const SVG = "http://www.w3.org/2000/svg";
  function drawn(name, attributes, text) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    return made;
  }

  // Each file a line over the days, the warmer the browner and heavier; its name at its end.
  function picture(files) {
    const sorted = files.filter((each) => each.room_c !== null).sort((a, b) => a.room_c - b.room_c);
    const last = Math.max(7, ...sorted.flatMap((each) => each.days.map((day) => day.day)));
    const most = Math.max(2.5, ...sorted.flatMap((each) => each.days.map((day) => day.rise || 1)));
    const x = (day) => 60 + 700 * (day - 1) / (last - 1), y = (rise) => 480 - 430 * (rise - 0.9) / (most - 0.9);
    const svg = byId("picture"), parts = [];
    for (let rise = 1; rise <= most; rise += 0.5) {
      parts.push(drawn("line", { class: "axis", x1: 60, x2: 760, y1: y(rise), y2: y(rise) }), drawn("text", { x: 50, y: y(rise) + 7, "text-anchor": "end" }, number(rise, 1)));
    }
    for (let day = 1; day <= last; day += Math.ceil(last / 14)) parts.push(drawn("text", { x: x(day), y: 515, "text-anchor": "middle" }, number(day)));
    const [low, high] = [sorted[0]?.room_c, sorted[sorted.length - 1]?.room_c];
    const labels = [];
    for (const each of sorted) {
      const points = each.days.filter((day) => day.rise), part = high > low ? (each.room_c - low) / (high - low) : 1;
      if (!points.length) continue;
      const line = drawn("polyline", { class: "line", points: points.map((day) => `${x(day.day)},${y(day.rise)}`).join(" ") });
      line.setAttribute("stroke", `color-mix(in oklab, var(--crust) ${Math.round(100 * part)}%, var(--soft))`);
      line.setAttribute("stroke-width", 3 + 4 * part);
      parts.push(line);
      labels.push({ at: y(points[points.length - 1].rise) + 7, text: `${warmth(each.room_c)} ${each.name.slice(0, 12)}` });
    }
    let above = 0;
    for (const label of labels.sort((a, b) => a.at - b.at)) {
      above = Math.max(label.at, above + 24);
      parts.push(drawn("text", { x: 772, y: above }, label.text));
    }
    svg.replaceChildren(...parts);
    const heads = ["", say("room"), ...Array.from({ length: last }, (_, i) => number(i + 1))];
    rowsInto(byId("table"), heads, sorted.map((each) => [each.name, warmth(each.room_c), ...Array.from({ length: last }, (_, i) => {
      const day = each.days.find((one) => one.day === i + 1);
      return day && day.rise ? number(day.rise, 2) : "–";
    })]));
    byId("figure").hidden = !sorted.length;
  }

  const before = kept.read(raising.KEY), known = before && raising.opened(JSON.stringify({ what: "young culture", version: raising.VERSION, ...before.state }));
  if (known && known.room_c !== null) state = { ...state, ...known };
  Object.assign(units, before?.units);
  if (!grid.flours.some((each) => each.name === state.flour)) state.flour = grid.flours[0].name;
  byId("flour").append(...grid.flours.map((flour) => new Option(flour.label, flour.name)));
  byId("without").hidden = true;
  form.hidden = false;
  document.body.classList.add("figured");
  showForm();
  form.addEventListener("change", changed);
  form.addEventListener("submit", (event) => event.preventDefault());
  byId("print").addEventListener("click", () => window.print());
  byId("save").addEventListener("click", save);
  byId("large").addEventListener("click", () => byId("figure").requestFullscreen?.());
  byId("own").addEventListener("change", async (event) => {
    const [found] = await filesOf(event.target);
    if (!found) return;
    state = { ...state, ...Object.fromEntries(Object.entries(found).filter(([, value]) => value !== null && value !== "")) };
    if (!grid.flours.some((each) => each.name === state.flour)) state.flour = grid.flours[0].name;
    showForm();
    keep();
    show();
  });
  byId("class").addEventListener("change", async (event) => picture(await filesOf(event.target)));
  show();
})();
