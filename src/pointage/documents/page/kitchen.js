"use strict";

// The arithmetic of a shared page: hours, water and oven minutes of a reader's kitchen, read from
// tables that the engine computed beforehand. Nothing here knows the page, so that it can be
// compared with the engine for thousands of kitchens. Hours are counted from a midnight.
const kitchen = (() => {
  const DIGITS = 90, MISSING = DIGITS * DIGITS - 1, STEPS = MISSING - 1;
  const WARMEST_AT = 15;              // the hour at which a kitchen is warmest
  const ROUNDS = 4;                   // of finding when to begin so as to end on time
  const DECILE = 1.2816;              // of the normal distribution
  const SLOW_AND_SWINGING = 42;       // hours times kelvin, above which the wave is read too roughly
  const FEED_H = 0.25, LEAST_COLD_H = 4;
  const REHEAT_H = 1 / 6;             // between two loads: ours
  const ICE_KJ = 333.6, WATER_KJ = 4.18, TOO_WARM_C = 45, COLDEST_C = 1;
  const OFF_CENTRE = 1.5, EACH_DOUBLING = 0.15, USUAL_SHARE = 0.2, UNSURE = 6, ASLEEP = 40, LATE = 200;

  // A packed table: numbers as steps of their logarithm, two digits each. "<" and the reversed
  // solidus are none.
  function opened(table) {
    if (!table) return null;
    const digit = (i) => {
      const code = table.steps.charCodeAt(i);
      return code - 35 - (code > 60) - (code > 92);
    };
    const steps = Uint16Array.from({ length: table.steps.length / 2 }, (_, i) => DIGITS * digit(2 * i) + digit(2 * i + 1));
    const strides = table.shape.map((_, i) => table.shape.slice(i + 1).reduce((a, b) => a * b, 1));
    return { steps, strides, low: table.low, unit: (table.high - table.low) / STEPS };
  }

  function open(shared) {
    const grid = shared.grid;
    for (const name of ["levain", "dough", "wave", "spread", "cold", "last"]) grid[name] = opened(grid[name]);
    const asWritten = shared.flours[0].stages.map((stage) => stage.rows);
    for (const flour of shared.flours) {
      flour.against = opened(flour.against);
      flour.stages.forEach((stage, k) => {
        stage.rows = stage.rows.map((row) => {  // a number: as in the formula as it is written
          const [i, percent] = Array.isArray(row) ? row : asWritten[k].find(([j]) => j === row);
          const [label, is] = shared.ingredients[i];
          return { label, part: percent / flour.percents, flour: is === 1, water: is === 2 };
        });
      });
    }
    shared.bake.table = opened(shared.bake.table);
    return shared;
  }

  // Where x lies on an axis, as [node, weight] of a polynomial through the nodes around it: four of
  // them, or two where straight is asked for. Null outside the axis.
  function between(axis, x, straight) {
    const last = axis.length - 1;
    if (!(x >= axis[0] - 1e-9 && x <= axis[last] + 1e-9)) return null;
    let i = 0;
    while (i < last - 1 && x > axis[i + 1]) i += 1;
    const from = straight ? i : Math.max(0, i - 1), to = Math.min(last, straight ? i + 1 : i + 2);
    const nodes = axis.slice(from, to + 1);
    return nodes.map((own, k) => [
      from + k, nodes.reduce((weight, other, j) => (j === k ? weight : weight * (x - other) / (own - other)), 1),
    ]);
  }

  const node = (i) => [[i, 1]];

  // A table between its nodes, in the logarithm; NaN where one that is needed is missing.
  function read(table, places) {
    let sum = 0;
    const corner = (axis, offset, weight) => {
      if (Math.abs(weight) < 1e-12) return;
      if (axis === places.length) {
        const step = table.steps[offset];
        sum += weight * (step === MISSING ? NaN : table.low + step * table.unit);
        return;
      }
      for (const [i, part] of places[axis]) corner(axis + 1, offset + i * table.strides[axis], weight * part);
    };
    corner(0, 0, 1);
    return Math.exp(sum);
  }

  // Along an axis of a line of logarithms: smooth, or straight beside what is missing.
  function along(axis, line, x) {
    for (const straight of [false, true]) {
      const places = between(axis, x, straight);
      if (!places) return NaN;
      let sum = 0;
      for (const [i, weight] of places) if (Math.abs(weight) > 1e-12) sum += weight * line[i];
      if (Number.isFinite(sum)) return Math.exp(sum);
    }
    return NaN;
  }

  // A value by the warmth of the place, at one pace, batch and so on: the logarithms at each node.
  function lineOf(axes, table, before, after, times = 1) {
    return axes.stands.map((_, i) => {
      const found = read(table, [...before, node(i), ...after.map((each) => each.smooth)]);
      const plain = Number.isFinite(found) ? found : read(table, [...before, node(i), ...after.map((each) => each.straight)]);
      return Math.log(plain * (typeof times === "function" ? times(axes.stands[i]) : times));
    });
  }

  function both(axis, x) {
    const smooth = between(axis, x);
    return smooth && { smooth, straight: between(axis, x, true) };
  }

  // What a stage takes that begins at an hour of the clock, in the wave of the reader's day:
  // ln t = ln t₀ + s (a cos φ + b sin φ) + s² (c + d cos 2φ + e sin 2φ).
  function lasting(axes, reader, from, line, wave) {
    const steady = along(axes.stands, line, reader.stands), s = reader.swing;
    if (!s || !wave) return steady;
    const turn = 2 * Math.PI * (from - WARMEST_AT) / 24;
    const by = [Math.cos(turn), Math.sin(turn), s, s * Math.cos(2 * turn), s * Math.sin(2 * turn)];
    return steady * Math.exp(s * by.reduce((sum, each, i) => sum + each * wave[i], 0));
  }

  const STAGES = { from: 0, until: 1, bulk: 2, proof: 3 };
  const lines = new WeakMap();

  // All lines of a formula for a reader, a share of seed and where the levain is taken; kept.
  function linesOf(shared, reader, share, taken) {
    if (!lines.has(reader)) lines.set(reader, new Map());
    const known = lines.get(reader), key = `${share} ${taken}`;
    if (!known.has(key)) known.set(key, lined(shared, reader, share, taken));
    return known.get(key);
  }

  function lined(shared, reader, share, taken) {
    const { grid } = shared, { axes } = grid, flour = shared.flours[reader.flour];
    const pace = both(axes.pace, Math.log(reader.pace)), batch = both(axes.batch, Math.log(reader.batchKg));
    const doubts = [];
    if (!pace) doubts.push("pace");
    if (!batch) doubts.push("batch");
    if (doubts.length) return { doubts };
    const coarse = both(axes.coarsePace, Math.log(reader.pace));
    const of = (table, before, c, after) => {
      const warm = both(axes.coarseStands, c);
      if (!table || !warm) return 1;
      const found = read(table, [...before, warm.smooth, coarse.smooth, ...after.map(node)]);
      return Number.isFinite(found) ? found : read(table, [...before, warm.straight, coarse.straight, ...after.map(node)]);
    };
    const by = (stage) => (c) => of(flour.against, [], c, [stage]);
    const first = node(share), cell = both(axes.taken, taken);
    const levain = (i, stage) =>
      lineOf(axes, grid.levain, [first], [pace, batch, { smooth: node(i), straight: node(i) }], stage === undefined ? 1 : by(stage));
    const dough = (i, stage) =>
      lineOf(axes, grid.dough, [first], [pace, batch, cell, { smooth: node(i), straight: node(i) }], by(stage));
    const last = 2 * shared.builds.length - 2;
    return {
      doubts,
      builds: Array.from({ length: last }, (_, i) => levain(i)),
      from: levain(last, STAGES.from), until: levain(last + 1, STAGES.until), peak: levain(last + 2, STAGES.from),
      bulk: dough(0, STAGES.bulk), proof: [1, 2, 3].map((i) => dough(i, STAGES.proof)),
      early: dough(4, STAGES.bulk),
      waves: Object.fromEntries(Object.entries(STAGES).map(([name, stage]) => [name, waveOf(grid, reader, first, stage)])),
      ratio: (stage, side, c) => of(grid.spread, [first], c, [stage, side]),
    };
  }

  function waveOf(grid, reader, first, stage) {
    const warm = both(grid.axes.waveStands, reader.stands), pace = both(grid.axes.wavePace, Math.log(reader.pace));
    if (!warm || !pace) return Array(5).fill(NaN);
    return Array.from({ length: 5 }, (_, term) => {
      const found = read(grid.wave, [first, warm.smooth, pace.smooth, node(stage), node(term)]);
      return Math.log(Number.isFinite(found) ? found : read(grid.wave, [first, warm.straight, pace.straight, node(stage), node(term)]));
    });
  }

  // The hours of a formula in a kitchen: share is the number of the seed share, taken where in its
  // window the levain is taken, fedAt when it is fed.
  function hours(shared, reader, share, taken, fedAt, ripe = 1) {
    const { axes } = shared.grid, line = linesOf(shared, reader, share, taken);
    if (line.doubts.length) return { builds: [], proof: [], doubts: line.doubts };
    const { waves } = line, lasts = (from, of, wave) => lasting(axes, reader, from, of, wave);
    const builds = [];
    for (let i = 0; i < line.builds.length; i += 2) {
      const [from, until] = [i, i + 1].map((j) => lasts(fedAt, line.builds[j]));
      builds.push({ from, until, taken: (from + until) / 2 });
    }
    const [from, until, peak] = ["from", "until", "peak"].map((name) => lasts(fedAt, line[name], waves[name] || waves.from));
    const mix = from + taken * (until - from);
    const full = lasts(fedAt + mix, line.bulk, waves.bulk), early = lasts(fedAt + mix, line.early, waves.bulk);
    const bulk = Math.max(early + ripe * (full - early), shared.process.workedH);
    const shaped = mix + bulk + shared.process.handlingH;
    const proof = line.proof.map((of) => lasts(fedAt + shaped, of, waves.proof));
    const doubts = reader.swing > axes.swing || reader.swing * until > SLOW_AND_SWINGING ? ["swing"] : [];
    if (![from, until, bulk, proof[1]].every(Number.isFinite)) {
      const low = axes.stands[0], high = axes.stands[axes.stands.length - 1];
      doubts.push(reader.stands < low || reader.stands > high ? "stands" : "never");
    }
    return { from, until, peak, mix, bulk, shaped, proof, builds, doubts, ratio: line.ratio };
  }

  // 10 and 90 % of a stage's hours: what the engine says of cultures of one pace, and the pace itself.
  function band(reader, found, name, middle) {
    return [0, 1].map((side) => {
      const ratio = found.ratio(STAGES[name], side, reader.stands);
      const of = Math.hypot(Math.log(ratio), DECILE * reader.paceSpread);
      return middle * Math.exp(side ? of : -of);
    });
  }

  // The rise of the shaped pieces over their hours in the fridge, at the hours of the table. ripe: 1
  // where they were divided at the wanted rise of the bulk, 0 at the least of it.
  function coldRises(shared, reader, share, ripe = 1) {
    const { axes, cold } = shared.grid;
    const places = [
      between(axes.coldShare, -Math.log(axes.share[share])), between(axes.waveStands, reader.stands),
      between(axes.wavePace, Math.log(reader.pace)), between(axes.coldBatch, Math.log(reader.batchKg)),
      between(axes.fridge, reader.fridge),
    ];
    if (!cold || !places.every(Boolean)) return null;
    return axes.coldAt.map((_, i) => read(cold, [[[0, 1 - ripe], [1, ripe]], ...places, node(i)]));
  }

  // The same after some hours; NaN outside the table.
  function coldRise(shared, rises, hoursIn) {
    return rises ? along(shared.grid.axes.coldAt, rises.map(Math.log), hoursIn) : NaN;
  }

  // From when until when the pieces may be baked out of the fridge, and when they are as wanted.
  function coldWindow(shared, rises) {
    const [least, wanted, most] = shared.process.retardRise;
    let from = NaN, until = NaN, best = NaN, off = Infinity;
    for (let h = LEAST_COLD_H; h <= 30; h += 0.25) {
      const rise = coldRise(shared, rises, h);
      if (rise >= least && rise <= most) {
        if (!(from <= h)) from = h;
        until = h;
        if (Math.abs(rise - wanted) < off - 1e-4) [best, off] = [h, Math.abs(rise - wanted)];
      } else if (from <= h) break;
    }
    return { from, until, best };
  }

  // The water of the dough: T = a + Σ C·(a − t) / (m·c), with a the wanted less what mixing adds.
  function water(shared, reader, levainC) {
    const { heat } = shared.flours[reader.flour];
    const aim = shared.process.doughC - reader.friction;
    const at = { flour: reader.room, room: reader.room, levain: levainC };
    let lacking = 0;
    for (const [name, curve] of Object.entries(heat.groups)) {
      const t = at[name];
      lacking += (curve[0] + curve[1] * t + curve[2] * t * t) * (aim - t);
    }
    const celsius = aim + lacking / (heat.waterKg * WATER_KJ);
    const waterKg = heat.waterKg * reader.batchKg;
    const ice = celsius < reader.tap ? waterKg * (reader.tap - celsius) / (reader.tap + ICE_KJ / WATER_KJ) : 0;
    const reached = celsius <= TOO_WARM_C && ice <= waterKg;
    return { celsius, iceKg: Math.min(ice, waterKg), reached };
  }

  // Kilograms put to each stage for the reader's batch, exact. share: of seed over the flour of the
  // first build; the seed is as wet as the reader's culture, and brings as much flour as the author's.
  function amounts(shared, reader, share) {
    const flour = shared.flours[reader.flour], kg = reader.batchKg;
    return flour.stages.map((stage) => {
      const rows = stage.rows.map((row) => ({ ...row, kg: row.part * kg }));
      if (!stage.seeded) return { ...stage, rows, takes: stage.takes.map((each) => ({ ...each, kg: each.part * kg })) };
      const seed = share * stage.flour * kg * (1 + reader.hydration) / (1 + shared.own.hydration);
      const brings = seed / (1 + reader.hydration), wet = rows.find((row) => row.water);
      const fresh = rows.filter((row) => row.flour).reduce((sum, row) => sum + row.kg, 0);
      for (const row of rows) if (row.flour) row.kg *= (fresh - brings) / fresh;
      if (wet) wet.kg -= seed - brings;
      return { ...stage, seed, rows, takes: [], fits: fresh >= brings && (!wet || wet.kg >= 0) };
    });
  }

  // The water of a build: the same balance of its seed, at seedC, its flour and its water.
  function buildWater(shared, reader, number, stage, seedC) {
    const aim = levainC(shared, reader), { seed, flour } = shared.flours[reader.flour].thermal[number];
    const sum = (of) => stage.rows.filter(of).reduce((all, row) => all + row.kg, 0);
    const seedKg = stage.seed || stage.takes.reduce((all, each) => all + each.kg, 0);
    const wet = sum((row) => row.water) * WATER_KJ;
    return aim + (seedKg * seed * (aim - seedC) + sum((row) => !row.water) * flour * (aim - reader.room)) / wet;
  }

  // The levain some hours after its feed: it follows the wave of its place, later and flatter.
  function levainAt(shared, reader, fedAt, hoursOn) {
    const { axes } = shared.grid, turn = 2 * Math.PI / 24;
    const follow = along(axes.batch, axes.levainFollows.map(Math.log), Math.log(reader.batchKg));
    const lag = Math.atan(turn * follow) / turn, flat = reader.swing / Math.hypot(1, turn * follow);
    const wave = (hour) => flat * Math.cos(turn * (hour - lag - WARMEST_AT));
    const off = levainC(shared, reader) - reader.stands - wave(fedAt);
    return reader.stands + wave(fedAt + hoursOn) + off * Math.exp(-hoursOn / follow);
  }

  function levainC(shared, reader) {
    return shared.process.levainC ?? Math.min(28, Math.max(20, reader.stands));
  }

  // Minutes in the oven, by mass, oven, height and what it stands on; NaN outside the table.
  function bakeMinutes(shared, reader, chilled) {
    const { bake } = shared, on = bake.on.indexOf(reader.on);
    const places = [
      between(bake.mass, Math.log(reader.pieceG)), between(bake.oven, reader.oven),
      between(bake.height, reader.height),
    ];
    if (on < 0 || !places.every(Boolean)) return NaN;
    return bake.factor * read(bake.table, [node(on), ...places]) * (chilled ? 1 : bake.warm);
  }

  // The pace of a culture, from hours to its height: of a usual feed at 25 °C, or of any feed.
  function paceOf(shared, hoursToHeight, celsius, share) {
    const { axes, peakAtPace, paces, last } = shared.grid;
    let known = peakAtPace, on = paces;
    if (celsius !== undefined) {
      const warm = between(axes.lastStands, celsius), part = between(axes.lastShare, Math.log(share));
      if (!warm || !part) return NaN;
      on = axes.pace;
      known = on.map((_, i) => read(last, [warm, part, node(i)]));
    }
    for (let i = 0; i + 1 < known.length; i += 1) {
      const [low, high] = [known[i], known[i + 1]];
      if (hoursToHeight >= low && hoursToHeight <= high) {
        const part = Math.log(hoursToHeight / low) / Math.log(high / low);
        return Math.exp(on[i] + part * (on[i + 1] - on[i]));
      }
    }
    return NaN;
  }

  // Whether hands are asked for between two hours while the reader sleeps.
  function asleep(reader, from, until) {
    const [down, up] = reader.sleep, clock = reader.clock || ((h) => ((h % 24) + 24) % 24);
    if (down === up) return false;
    const night = ((up - down) % 24 + 24) % 24;
    const since = ((clock(from) - down) % 24 + 24) % 24;
    return since < night - 1e-9 || since + (until - from) > 24 + 1e-9;
  }

  function penalty(rise, wanted) {
    const [least, best, most] = wanted, span = rise < best ? best - least : most - best;
    return span > 0 ? ((rise - best) / span) ** 2 : 0;
  }

  // A thread of steps that ends with the loaf out of the oven at reader.wanted: the best there is.
  function plan(shared, reader) {
    const { process } = shared;
    let best = null;
    const offer = (found) => {
      if (!best || found.cost < best.cost) best = found;
    };
    const cold = process.retardRise && reader.proof !== "warm";
    shared.grid.axes.share.forEach((share, number) => {
      const colds = (cold ? [1, 0.5, 0] : []).map((ripe) => {
        const rises = coldRises(shared, reader, number, ripe);
        return rises && { ripe, rises, ...coldWindow(shared, rises) };
      });
      for (const taken of [0.5, 0.3, 0.7, 0.12, 0.88]) {
        const base = OFF_CENTRE * ((taken - 0.5) / 0.5) ** 2 + EACH_DOUBLING * Math.abs(Math.log2(share / USUAL_SHARE));
        const tried = (chilled, waits, off) => {
          const minutes = bakeMinutes(shared, reader, chilled), loads = reader.loads || 1;
          const bake = (minutes || process.bakeFallback) / 60 + process.loadH, gap = bake + REHEAT_H;
          const load = reader.wanted - bake - (loads - 1) * gap;
          let fedAt = load - 20, found = null;
          for (let round = 0; round < (reader.swing ? ROUNDS : 1); round += 1) {
            found = hours(shared, reader, number, taken, fedAt, chilled ? chilled.ripe : 1);
            fedAt = load - waits(found) - found.shaped;
          }
          if (!Number.isFinite(fedAt)) return;
          const last = waits(found) + (loads - 1) * gap, until = chilled ? chilled.until : found.proof[2];
          const late = loads > 1 && last > until + 1e-9 ? (last - until) / gap : 0;
          offer(weighed(shared, reader, { share: number, taken, chilled, load, loads, gap, minutes, fedAt, found, waitsLong: late > 0, cost: base + off + late }));
        };
        if (reader.proof !== "cold") {
          for (const p of [0, 0.25, 0.5, 0.75, 1]) {
            const between3 = (f) => p < 0.5 ? f.proof[0] + 2 * p * (f.proof[1] - f.proof[0])
              : f.proof[1] + (2 * p - 1) * (f.proof[2] - f.proof[1]);
            tried(null, p === 0.5 ? (f) => f.proof[1] : between3, (2 * p - 1) ** 2);
          }
        }
        for (const chilled of colds.filter(Boolean)) {
          for (let h = chilled.from; h <= chilled.until; h += 0.5) {
            tried(chilled, () => h, (1 - chilled.ripe) ** 2 + penalty(coldRise(shared, chilled.rises, h), process.retardRise));
          }
        }
      }
    });
    return best;
  }

  // A thread with its steps, the price of what it asks, and whether sleep is disturbed.
  function weighed(shared, reader, thread) {
    const { process } = shared, { found, fedAt } = thread;
    const steps = [];
    let at = fedAt;
    found.builds.slice().reverse().forEach((build, i) => {
      at -= build.taken;
      steps.unshift({ kind: "build", build: found.builds.length - 1 - i, from: at, until: at + FEED_H });
    });
    const mix = fedAt + found.mix, divide = mix + found.bulk, shaped = fedAt + found.shaped;
    steps.push({ kind: "levain", build: shared.builds.length - 1, from: fedAt, until: fedAt + FEED_H });
    steps.push({ kind: "mix", from: mix, until: mix + process.mixH });
    for (let i = 1; i <= process.folds; i += 1) {
      const fold = mix + process.mixH + i * process.foldEveryH;
      steps.push({ kind: "fold", number: i, from: fold, until: fold + process.foldH });
    }
    steps.push({ kind: "divide", from: divide, until: divide + process.divideH });
    steps.push({ kind: "shape", from: shaped - process.shapeH, until: shaped });
    for (let i = 0; i < thread.loads; i += 1) {
      const from = thread.load + i * thread.gap;
      steps.push({ kind: "load", number: i + 1, from, until: from + process.loadH });
    }
    steps.push({ kind: "out", from: reader.wanted, until: reader.wanted });
    for (const each of shared.soakers) {
      steps.push({ kind: "soak", name: each.name, from: mix - each.hours, until: mix - each.hours + FEED_H });
    }
    const wet = buildWater(shared, reader, 0, amounts(shared, reader, shared.grid.axes.share[thread.share]).find((stage) => stage.seeded), reader.room);
    const doubts = [...found.doubts];
    if (wet > TOO_WARM_C || wet < COLDEST_C) doubts.push("buildWater");
    if (thread.waitsLong) doubts.push("loads");
    let cost = thread.cost + (doubts.length ? UNSURE : 0);
    for (const step of steps) {
      step.asleep = step.kind !== "out" && asleep(reader, step.from, step.until);
      if (step.asleep) cost += ASLEEP;
    }
    steps.sort((a, b) => a.from - b.from);
    const late = steps[0].from < reader.now;
    return { ...thread, doubts, mix, divide, shaped, steps, late, cost: cost + (late ? LATE : 0) };
  }

  // Vessels that the dough takes once it has risen as far as it may.
  function bowls(shared, reader) {
    const litres = reader.batchKg * shared.own.litresPerKg * shared.process.bulkRise[2];
    return { litres, count: reader.bowl ? Math.ceil(litres / reader.bowl - 1e-9) : 1 };
  }

  return { open, bowls, hours, coldRises, coldRise, coldWindow, water, amounts, buildWater, levainC, levainAt, bakeMinutes, paceOf, plan, asleep, band };
})();
if (typeof module !== "undefined") module.exports = kitchen;
