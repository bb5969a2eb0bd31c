// A piece of a culture in the reader's own room: its first week, feed by feed, between the rooms that
// were calculated.
const given = (() => {
  const { rooms, onTheWay, peak, weeks, kept: keeps } = shared;

  // The room's neighbours and how far it is to the warmer; null outside what was calculated.
  function between(room) {
    const last = rooms.length - 1;
    if (!(room >= rooms[0] && room <= rooms[last])) return null;
    let i = 0;
    while (i < last - 1 && room > rooms[i + 1]) i += 1;
    return [i, (room - rooms[i]) / (rooms[i + 1] - rooms[i])];
  }

  // The feeds as in the nearer room; hours on a line between the logarithms of both, bands that
  // hold both.
  function week(room, daysCold) {
    const place = between(room), node = onTheWay.findIndex((each) => each >= daysCold);
    if (!place || node < 0) return null;
    const [i, part] = place, near = part < 0.5 ? i : i + 1, [a, b] = [peak[i][node], peak[i + 1][node]];
    return {
      peak: [Math.min(a[0], b[0]), Math.exp((1 - part) * Math.log(a[1]) + part * Math.log(b[1])), Math.max(a[2], b[2])],
      feeds: weeks[near][node].map(([hour, parts, wakes]) => ({ hour, parts, wakes })),
      kept: keeps[near],
    };
  }

  return { between, week };
})();

(() => {
  const KEY = "pointage-given", HOUR = 3600e3, form = byId("kitchen"), FIELDS = ["degrees", "ounces", "clock"];
  let state = { room_c: 21, start: local(new Date(Math.ceil(Date.now() / 300e3) * 300e3)), way: 0, piece_g: 20 };

  function local(date) {
    const two = (n) => String(n).padStart(2, "0");
    return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}T${two(date.getHours())}:${two(date.getMinutes())}`;
  }

  function showForm() {
    byId("room").value = warmth(state.room_c, true).replace(SPACE, " ");
    byId("start").value = state.start;
    byId("way").value = number(state.way, 1);
    byId("piece").value = mass(state.piece_g).split("(")[0].trim().replace(SPACE, " ");
    for (const id of FIELDS) byId(id).value = units[id];
  }

  // What is put together at a feed: as it is kept, or as it is woken.
  function parts(feed, found) {
    const { kept: keeps } = found, seed = state.piece_g;
    if (!feed.wakes && keeps) return keeps;
    return { seed, flour: seed * feed.parts, water: seed * feed.parts * shared.hydration };
  }

  const hours = (h) => say("hours", { n: number(Math.round(h)) });
  const after = (hour) => new Date(new Date(state.start).getTime() + HOUR * hour);

  function item(first, second, title, ...lines) {
    const step = element("li"), time = element("time", first), body = element("div");
    time.append(element("small", second));
    body.append(element("b", title), ...lines);
    step.append(time, body);
    return step;
  }

  function stepOf(feed, i, found) {
    const at = after(feed.hour), of = parts(feed, found), lines = [];
    const [seed, flour, water] = [of.seed, of.flour, of.water].map(mass);
    if (i) lines.push(element("p", say("keepOnly", { mass: seed })));
    lines.push(element("p", say(i ? "fed" : "woken", { seed, flour, water, flours: shared.flours }), "reading"));
    if (!i) {
      const [from, until] = [found.peak[0], found.peak[2]].map((h) => after(feed.hour + h)).map((each) => `${dayOf(each)}, ${timeOf(each)}`);
      lines.push(element("p", say("height", { from, until })));
    } else if (feed.wakes) lines.push(element("p", say("again")));
    else if (found.kept) {
      const [low, high] = found.kept.ripe;
      lines.push(element("p", high === null ? say("ripeFrom", { low: hours(low) }) : say("ripe", { low: hours(low), high: hours(high) })));
    }
    return item(timeOf(at), dayOf(at), say(i ? "feed" : "wake"), ...lines);
  }

  // Each feed that is new by itself, then those that repeat it, a line a day.
  function steps(found) {
    const usual = found.feeds.findIndex((each) => !each.wakes), days = new Map();
    const made = found.feeds.slice(0, usual + 1).map((each, i) => stepOf(each, i, found));
    for (const feed of found.feeds.slice(usual + 1)) {
      const at = after(feed.hour);
      days.set(dayOf(at), [...(days.get(dayOf(at)) || []), timeOf(at)]);
    }
    for (const [day, times] of days) made.push(item(times.join(", "), day, say("same")));
    made.push(item(say("dayN", { n: number(7) }), dayOf(after(24 * 6)), shared.last.title, element("p", shared.last.text)));
    return made;
  }

  function show() {
    const found = given.week(state.room_c, state.way), { rooms, onTheWay } = shared, doubts = [];
    if (!given.between(state.room_c)) doubts.push(say("outside", { low: warmth(rooms[0]), high: warmth(rooms[rooms.length - 1]) }));
    if (state.way > onTheWay[onTheWay.length - 1]) doubts.push(say("longCold", { n: number(onTheWay[onTheWay.length - 1]) }));
    if (found && !found.kept) doubts.push(say("noRhythm"));
    byId("doubts").replaceChildren(...doubts.map((text) => element("li", text)));
    const wakes = found ? found.feeds.filter((each) => each.wakes).length : 0;
    const flour = found ? found.feeds.reduce((sum, each) => sum + parts(each, found).flour, 0) : 0;
    byId("summary").textContent = !found ? "" : say(wakes > 1 ? "wakesIn" : "wakesAtOnce", { n: number(wakes), flour: mass(flour) });
    byId("steps").replaceChildren(...(found ? steps(found) : []));
    byId("answer").hidden = false;
    document.body.classList.toggle("figured", Boolean(found));
    byId("without").hidden = Boolean(found);
  }

  function changed(event) {
    const id = event?.target?.id;
    if (FIELDS.includes(id)) {
      units[id] = byId(id).value;
      showForm();
    }
    const room = readWarmth(byId("room").value), start = new Date(byId("start").value), [way] = parsed(byId("way").value), piece = readMass(byId("piece").value);
    const good = { room: room >= 0 && room <= 45, start: Number.isFinite(start.getTime()), way: way >= 0 && way <= 400, piece: piece >= 1 && piece <= 2000 };
    complain(byId("room"), good.room ? "" : say("between", { low: warmth(0), high: warmth(45) }));
    complain(byId("start"), good.start ? "" : say("aTime"));
    complain(byId("way"), good.way ? "" : say("between", { low: number(0), high: number(400) }));
    complain(byId("piece"), good.piece ? "" : say("between", { low: mass(1), high: mass(2000) }));
    if (!Object.values(good).every(Boolean)) return;
    state = { room_c: Math.round(100 * room) / 100, start: byId("start").value, way, piece_g: piece };
    kept.write(KEY, { name: shared.name, state, units });
    show();
  }

  const before = kept.read(KEY);
  if (before?.name === shared.name) {
    const { room_c, start, way, piece_g } = before.state || {};
    if ([room_c, way, piece_g].every(Number.isFinite) && Number.isFinite(new Date(start).getTime())) state = { room_c, start: String(start), way, piece_g };
    for (const id of FIELDS) if (typeof before.units?.[id] === "string") units[id] = before.units[id];
  }
  form.hidden = false;
  showForm();
  form.addEventListener("change", changed);
  form.addEventListener("submit", (event) => event.preventDefault());
  byId("print").addEventListener("click", () => window.print());
  show();
})();
