// A formula in the reader's own kitchen: reads the form, asks the arithmetic, writes the answer.
(() => {
  kitchen.open(shared);
  const { own, process, grid } = shared, { axes } = grid;
  const KEY = "pointage-kitchen", USUAL_C = 25, HOUR = 3600e3;
  const USUAL_SPREAD = 0.1, LAST_SPREAD = 0.12;   // of a pace that the reader has timed: ours
  const form = byId("kitchen");
  const midnight = new Date();
  midnight.setHours(0, 0, 0, 0);
  const dateOf = (hours) => new Date(midnight.getTime() + hours * HOUR);
  const hoursOf = (date) => (date - midnight) / HOUR;
  const clock = (hours) => {
    const at = dateOf(hours);
    return at.getHours() + at.getMinutes() / 60;
  };

  const WARM = { room: [0, 45], warm: [0, 45], fridge: [0, 15], tap: [0, 40], oven: [100, 350], lastWarm: [5, 40] };
  const DIFFERENCE = { swing: [0, 8], friction: [0, 12] };
  const PLAIN = { pieces: [1, 500], hydration: [40, 200], usualHours: [1, 48], lastHours: [1, 60], perLoad: [1, 500], bowl: [0.2, 200], tin: [0.1, 10] };
  const TYPED = ["wanted", "sleepFrom", "sleepUntil"], CHOSEN = ["proof", "flour", "how", "lastShare", "on"];
  const UNITS = ["degrees", "ounces", "clock"], OPTIONAL = new Set(["warm", "bowl", "tin"]);

  function showValues(values) {
    for (const id of Object.keys(WARM)) byId(id).value = values[id] === undefined ? "" : warmth(values[id], true).replace(SPACE, " ");
    for (const id of Object.keys(DIFFERENCE)) byId(id).value = difference(values[id]).replace(SPACE, " ");
    for (const id of Object.keys(PLAIN)) byId(id).value = values[id] === undefined ? "" : number(values[id], 2);
    byId("piece").value = `${number(values.pieceG)} g`;
    byId("height").value = `${number(values.height)} m`;
    for (const id of [...TYPED, ...CHOSEN]) byId(id).value = values[id];
    for (const id of UNITS) byId(id).value = units[id];
  }

  function local(date) {
    const two = (n) => String(n).padStart(2, "0");
    return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}T${two(date.getHours())}:${two(date.getMinutes())}`;
  }

  const timeText = (hours) => `${String(Math.floor(hours)).padStart(2, "0")}:${String(Math.round(60 * (hours % 1))).padStart(2, "0")}`;

  function first() {
    const ready = new Date(midnight.getTime());
    ready.setDate(ready.getDate() + 2);
    ready.setHours(9);
    return {
      room: own.room, swing: 1, warm: own.stands > own.room + 1 ? own.stands : undefined, fridge: own.fridge, tap: own.tap,
      friction: own.friction, oven: own.oven, lastWarm: 22, pieces: shared.pieces, pieceG: shared.pieceG,
      hydration: 100 * own.hydration, usualHours: 6, lastHours: 8, height: own.height, wanted: local(ready),
      sleepFrom: timeText(own.sleep[0]), sleepUntil: timeText(own.sleep[1]), proof: "any", flour: "0", how: "unknown",
      lastShare: "0.2", on: shared.bake.own, perLoad: own.perLoad, bowl: undefined, tin: own.tinL ?? undefined,
    };
  }

  // What is typed, by field; complains of what cannot be used, and keeps what was good before.
  function read(before) {
    const values = { ...before };
    let good = true;
    const take = (id, value, [low, high], unit) => {
      const input = byId(id), hidden = byId(`${id}-field`).hidden;
      if (hidden || (OPTIONAL.has(id) && !input.value.trim())) {
        if (OPTIONAL.has(id)) values[id] = undefined;
        return complain(input);
      }
      if (value >= low - 1e-9 && value <= high + 1e-9) {
        values[id] = value;
        return complain(input);
      }
      good = false;
      return complain(input, say("between", { low: unit(low), high: unit(high) }));
    };
    for (const [id, range] of Object.entries(WARM)) take(id, readWarmth(byId(id).value), range, (c) => warmth(c));
    for (const [id, range] of Object.entries(DIFFERENCE)) take(id, readWarmth(byId(id).value, true), range, difference);
    for (const [id, range] of Object.entries(PLAIN)) take(id, parsed(byId(id).value)[0], range, (n) => number(n));
    for (const id of ["pieces", "perLoad"]) values[id] = Math.round(values[id]);
    const piece = readMass(byId("piece").value);
    complain(byId("piece"), piece >= 20 && piece <= 5000 ? "" : say("between", { low: mass(20), high: mass(5000) }));
    if (piece >= 20 && piece <= 5000) values.pieceG = piece; else good = false;
    const [height, unit] = parsed(byId("height").value), metres = unit.startsWith("f") ? height * 0.3048 : height;
    complain(byId("height"), metres >= -430 && metres <= 5500 ? "" : say("between", { low: "−430 m", high: "5500 m" }));
    if (metres >= -430 && metres <= 5500) values.height = metres; else good = false;
    const wanted = new Date(byId("wanted").value);
    complain(byId("wanted"), Number.isFinite(wanted.getTime()) ? "" : say("aTime"));
    for (const id of TYPED) if (byId(id).value) values[id] = byId(id).value; else good = false;
    for (const id of CHOSEN) values[id] = byId(id).value;
    return { values, good };
  }

  function reader(values) {
    const hoursIn = (text) => Number(text.slice(0, 2)) + Number(text.slice(3, 5)) / 60;
    const warm = values.warm !== undefined;
    const pace = { unknown: 1, usual: kitchen.paceOf(shared, values.usualHours), last: kitchen.paceOf(shared, values.lastHours, values.lastWarm, Number(values.lastShare)) }[values.how];
    return {
      stands: warm ? values.warm : values.room, swing: warm ? 0 : values.swing, room: values.room, fridge: values.fridge,
      tap: values.tap, friction: values.friction, flour: Number(values.flour), pace: pace || NaN,
      paceSpread: { unknown: grid.paceSpread, usual: USUAL_SPREAD, last: LAST_SPREAD }[values.how],
      batchKg: values.pieces * values.pieceG / 1000, pieceG: values.pieceG, hydration: values.hydration / 100,
      loads: Math.ceil(values.pieces / values.perLoad), perLoad: values.perLoad, pieces: values.pieces, bowl: values.bowl, oven: values.oven, on: values.on, height: Math.max(0, values.height), wanted: hoursOf(new Date(values.wanted)), now: hoursOf(new Date()),
      sleep: [hoursIn(values.sleepFrom), hoursIn(values.sleepUntil)], proof: values.proof, clock,
    };
  }

  const at = (hours) => {
    const date = dateOf(Math.round(12 * hours) / 12);
    return `${timeOf(date)}`;
  };
  const dayAt = (hours) => say("dayTime", { day: dayOf(dateOf(hours)), time: at(hours) });
  const list = (rows) => {
    const found = element("ul", undefined, "weigh");
    for (const row of rows.filter((each) => each.grams)) {
      const line = element("li");
      line.append(element("b", mass(row.grams)), ` ${row.label}`);
      found.append(line);
    }
    return found;
  };

  // What is weighed for a stage, rounded together.
  function weighed(stage) {
    const rows = [
      ...(stage.seed ? [{ label: say("culture"), kg: stage.seed }] : []),
      ...stage.takes.map((each) => ({ label: each.name, kg: each.kg })), ...stage.rows,
    ];
    const grams = roundedTogether(rows.map((row) => row.kg));
    return rows.map((row, i) => ({ ...row, grams: grams[i] }));
  }

  function doubtsOf(who, plan, minutes, wet, stages) {
    const words = { pace: "doubtPace", batch: "doubtBatch", stands: "doubtStands", never: "doubtNever", swing: "doubtSwing", buildWater: "doubtBuild", loads: "doubtLoads" };
    const kg = (x) => mass(1000 * Math.exp(x));
    const parts = {
      low: warmth(axes.stands[0]), high: warmth(axes.stands[axes.stands.length - 1]),
      least: kg(axes.batch[0]), most: kg(axes.batch[axes.batch.length - 1]), swing: difference(axes.swing),
    };
    const doubts = (plan ? plan.doubts : kitchen.hours(shared, who, 0, 0.5, 0).doubts).map((each) => say(words[each], parts));
    if (!minutes) doubts.push(say("doubtBake"));
    if (wet && !wet.reached) doubts.push(say("doubtWater", { warmth: warmth(wet.celsius) }));
    if (stages.some((stage) => stage.fits === false)) doubts.push(say("doubtWet"));
    return doubts;
  }

  function stepLine(step, title, ...details) {
    const line = element("li", undefined, step.asleep ? "asleep" : ""), time = element("time", at(step.from));
    time.dateTime = local(dateOf(Math.round(12 * step.from) / 12));
    time.append(element("small", dayOf(dateOf(step.from))));
    const body = element("div");
    body.append(element("b", title));
    for (const detail of details.filter(Boolean)) body.append(typeof detail === "string" ? element("p", detail) : detail);
    if (step.asleep) body.append(element("p", say("inYourSleep"), "error"));
    line.append(time, body);
    return line;
  }

  function bakeTitle(who, plan, step) {
    const parts = { minutes: spell((plan.minutes || process.bakeFallback) / 60), oven: warmth(who.oven) };
    return plan.loads > 1 ? say("bakeLoad", { ...parts, n: number(step.number), of: number(plan.loads) }) : say("bake", parts);
  }

  function showSteps(who, plan, stages) {
    const named = Object.fromEntries(stages.map((stage) => [stage.name, stage]));
    const dough = stages.find((stage) => stage.kind === "dough"), { found, chilled } = plan;
    const lines = plan.steps.map((step) => {
      if (step.kind === "build" || step.kind === "levain") {
        const name = shared.builds[step.build], stage = named[name], last = step.kind === "levain";
        const window = last ? found : found.builds[step.build];
        const water = kitchen.buildWater(shared, who, step.build, stage, step.build ? kitchen.levainC(shared, who) : who.room);
        const ripe = element("p", say("ripe", { from: at(step.from + window.from), until: at(step.from + window.until) }), "ripe");
        const [low, high] = last ? [kitchen.band(who, found, "from", found.from)[0], kitchen.band(who, found, "until", found.until)[1]] : [];
        return stepLine(step, say("build", { stage: name }), list(weighed(stage)), say("waterAt", { warmth: warmth(water) }), ripe,
          last && Number.isFinite(low + high) && say("ripeBand", { low: dayAt(step.from + low), high: dayAt(step.from + high) }));
      }
      if (step.kind === "soak") return stepLine(step, say("soak", { stage: step.name }), list(weighed(named[step.name])));
      if (step.kind === "mix") {
        const wet = kitchen.water(shared, who, kitchen.levainAt(shared, who, plan.fedAt, found.mix)), water = element("p", say("waterAt", { warmth: warmth(wet.celsius) }), "reading");
        return stepLine(step, say("mix"), list(weighed(dough)), water,
          kitchen.bowls(shared, who).count > 1 && say("bowls", { n: number(kitchen.bowls(shared, who).count), litres: number(kitchen.bowls(shared, who).litres, 1) }),
          wet.iceKg > 0.0005 && say("ice", { mass: mass(1000 * wet.iceKg), tap: warmth(who.tap) }), say("doughAt", { warmth: warmth(process.doughC) }));
      }
      if (step.kind === "fold") {
        const added = stages.filter((stage) => stage.kind === "addition" && stage.fold === step.number);
        return stepLine(step, say("fold", { n: number(step.number), of: number(process.folds) }), ...added.map((stage) => list(weighed(stage))));
      }
      if (step.kind === "divide") {
        const [low, high] = kitchen.band(who, found, "bulk", found.bulk), ripe = chilled ? chilled.ripe : 1;
        const rise = process.bulkRise[0] + ripe * (process.bulkRise[1] - process.bulkRise[0]);
        return stepLine(step, say("divide", { n: number(who.batchKg * 1000 / who.pieceG), mass: mass(who.pieceG) }), say("risenTo", { rise: number(rise, 2) }),
          Number.isFinite(low + high) && say("band", { low: at(plan.mix + low), high: at(plan.mix + high) }));
      }
      if (step.kind === "shape") return stepLine(step, say(process.tin ? "shapeTin" : "shape"), chilled ? say("intoFridge", { at: at(plan.shaped) }) : say("standWarm"));
      if (step.kind === "load" && step.number > 1) {
        const left = who.pieces - (step.number - 1) * who.perLoad;
        return stepLine(step, bakeTitle(who, plan, step), say("nextLoad", { n: number(Math.min(left, who.perLoad)) }));
      }
      if (step.kind === "load") {
        const [low, high] = kitchen.band(who, found, "proof", found.proof[1]);
        const fit = chilled ? say("fitCold", { from: dayAt(plan.shaped + chilled.from), until: dayAt(plan.shaped + chilled.until) })
          : say("fitWarm", { rise: number(process.proofRise[1], 2), from: at(plan.shaped + found.proof[0]), until: at(plan.shaped + found.proof[2]) });
        return stepLine(step, bakeTitle(who, plan, step), element("p", fit, "ripe"),
          !chilled && Number.isFinite(low + high) && say("band", { low: at(plan.shaped + low), high: at(plan.shaped + high) }), shared.bakeNote);
      }
      return stepLine(step, say("out"), say("cut", { at: at(step.from + process.coolH) }));
    });
    byId("steps").replaceChildren(...lines);
  }

  function showAmounts(who, stages) {
    const flour = shared.flours[who.flour];
    const rows = stages.flatMap((stage) => weighed(stage).map((row) => [stage.name, row.label, mass(row.grams)]));
    let before = "";
    const once = rows.map(([name, ...rest]) => [name === before ? "" : (before = name), ...rest]);
    rowsInto(byId("amounts"), ["", say("ingredient"), say("mass")], once);
    byId("amounts").className = "words";
    return flour.notes;
  }

  function showTranslated(who, plan, wet) {
    const rows = [
      [say("stands"), warmth(own.stands), warmth(who.stands), plan ? say("byHours", { bulk: spell(plan.found.bulk) }) : ""],
      [say("fridge"), warmth(own.fridge), warmth(who.fridge), plan && plan.chilled ? say("byCold", { h: spell(plan.load - plan.shaped) }) : say("notUsed")],
      [say("flourAndRoom"), warmth(own.room), warmth(who.room), wet ? say("byWater", { warmth: warmth(wet.celsius) }) : ""],
      [say("flour"), say("asWritten"), shared.flours[who.flour].label, shared.flours[who.flour].notes.join(" ")],
      [say("batch"), say("times", { n: number(shared.pieces), mass: mass(shared.pieceG) }), say("times", { n: number(who.batchKg * 1000 / who.pieceG), mass: mass(who.pieceG) }), say("byScale")],
      [say("ovenAndHeight"), say("two", { one: warmth(own.oven), other: `${number(own.height)}${SPACE}m` }), say("two", { one: warmth(who.oven), other: `${number(who.height)}${SPACE}m` }), plan && plan.minutes ? spell(plan.minutes / 60) : ""],
    ];
    if (plan) rows.splice(1, 0, [say("seed"), shared.seed, say("percent", { n: number(100 * axes.share[plan.share]) }), say("bySeed", { taken: number(100 * plan.taken) })]);
    rowsInto(byId("translated"), ["", say("writtenFor"), say("yours"), say("follows")], rows);
    byId("translated").className = "words";
  }

  function show(values) {
    const who = reader(values), plan = kitchen.plan(shared, who);
    const stages = kitchen.amounts(shared, who, plan ? axes.share[plan.share] : 0.2), wet = kitchen.water(shared, who, plan ? kitchen.levainAt(shared, who, plan.fedAt, plan.found.mix) : who.stands);
    const minutes = kitchen.bakeMinutes(shared, who, plan && plan.chilled);
    const doubts = doubtsOf(who, plan, minutes, wet, stages);
    const disturbed = plan && plan.steps.some((step) => step.asleep);
    byId("summary").textContent = !plan ? say("noPlan")
      : say(plan.late ? "tooLate" : disturbed ? "noSleep" : "start", { at: dayAt(plan.steps[0].from), out: dayAt(who.wanted), step: say("build", { stage: shared.builds[0] }) });
    byId("soonest").hidden = !plan || !(plan.late || disturbed);
    byId("doubts").replaceChildren(...doubts.map((text) => element("li", text)));
    byId("steps").hidden = !plan;
    if (plan) showSteps(who, plan, stages); else byId("steps").replaceChildren();
    showAmounts(who, stages);
    showTranslated(who, plan, wet);
    byId("sure").replaceChildren(...["sureHours", "sureBands", "sureRest"].map((key) => element("li", say(key, { kelvin: difference(1) }))));
    byId("answer").hidden = false;
    return who;
  }

  // The first whole hour from the wanted one, within three days, that needs nothing at night.
  function soonest(values) {
    for (let later = 1; later <= 72; later += 1) {
      const date = new Date(new Date(values.wanted).getTime() + later * HOUR);
      const plan = kitchen.plan(shared, reader({ ...values, wanted: local(date) }));
      if (plan && !plan.late && !plan.steps.some((step) => step.asleep) && !kitchen.asleep(reader(values), hoursOf(date), hoursOf(date))) return local(date);
    }
    return null;
  }

  let values = { ...first(), ...kept.read(KEY)?.values };
  const amounts = first();
  Object.assign(values, { pieces: amounts.pieces, pieceG: amounts.pieceG, oven: amounts.oven, on: amounts.on, flour: "0", wanted: amounts.wanted, tin: amounts.tin, perLoad: values.perLoad || amounts.perLoad });
  Object.assign(units, kept.read(KEY)?.units);
  byId("flour").append(...shared.flours.map((flour, i) => new Option(flour.label, i)));
  byId("on").append(...shared.bake.on.map((each) => new Option(say(each), each)));
  byId("on-field").hidden = shared.bake.on.length < 2;
  byId("tin-field").hidden = !own.tinL;
  byId("proof-field").hidden = !process.retardRise;
  byId("fridge-field").hidden = !process.retardRise;

  function asks() {
    byId("usualHours-field").hidden = values.how !== "usual";
    for (const id of ["lastShare", "lastWarm", "lastHours"]) byId(`${id}-field`).hidden = values.how !== "last";
    byId("swing-field").hidden = Boolean(byId("warm").value.trim());
    byId("usualHours-hint").textContent = say("usualFeed", { warmth: warmth(USUAL_C) });
  }

  function changed(event) {
    const id = event?.target?.id;
    if (UNITS.includes(id)) {
      units[id] = byId(id).value;
      showValues(values);
    }
    const [tinL] = parsed(byId("tin").value);
    if (id === "tin" && own.tinL && tinL >= PLAIN.tin[0] && tinL <= PLAIN.tin[1]) byId("piece").value = `${number(5 * Math.round(shared.pieceG * tinL / own.tinL / 5))} g`;
    values.how = byId("how").value;
    asks();
    const found = read(values);
    if (!found.good) return;
    ({ values } = found);
    kept.write(KEY, { values, units });
    show(values);
  }

  showValues(values);
  asks();
  form.hidden = false;
  byId("without").hidden = true;
  document.body.classList.add("figured");
  form.addEventListener("change", changed);
  form.addEventListener("submit", (event) => event.preventDefault());
  byId("print").addEventListener("click", () => window.print());
  byId("soonest").addEventListener("click", () => {
    const found = soonest(values);
    if (found) {
      byId("wanted").value = found;
      changed();
      byId("answer-title").focus();
    } else byId("summary").textContent = say("neverFits");
  });
  changed();
})();
