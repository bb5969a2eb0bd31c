"""How near a shared page comes to the engine: its own script, in a browser, at random kitchens.

    python -m benchmarks.shared examples/formulas/harbour-loaf.toml [--kitchens 5000] [--seed 1]

Prints JSON: for each time, water and bake the error in minutes or °C (median, 95 and 99 of 100, the
largest), the share within 20 minutes, and the share of kitchens that the page is not sure of.
"""

from __future__ import annotations

import argparse
import json
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import UTC, datetime
from math import inf, log
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from playwright.sync_api import Page, sync_playwright

from pointage.desk.calculators.water_page import Warmths, dough_mix, question
from pointage.desk.formulas.share import other_flours, share_formula, shared_problem
from pointage.documents.page.courses import KitchenHours, SharedThread, handling_h
from pointage.documents.page.grid import threads_of
from pointage.documents.page.kitchens import Floats, OtherKitchens
from pointage.errors import RangeError
from pointage.formula.file.read import read_formula
from pointage.formula.water import answer
from pointage.heat.baking import BakedOn, bake
from pointage.kitchen.file.read import read_kitchen
from pointage.timetable.oven import oven_bake
from pointage.timetable.problem import Problem

NOW = datetime(2026, 1, 5, 6, tzinfo=UTC)
CHROMIUM = ("chromium-headless-shell", "chromium", "chromium-browser")
KITCHEN = Path(__file__).parents[1] / "examples" / "kitchen.toml"
WITHIN_MIN = 20.0
TIMES = ("ripe from", "ripe until", "mix", "bulk", "shaped", "proof least", "proof", "proof most")
BAKES = 60
BANDED, MEMBERS = 60, 96
"""Kitchens, and members of an ensemble in each, in which the bands are looked at. Fewer members are
no fair draw of cultures; those of the page are others, and 64."""
PRINTED_H = 1 / 12  # times stand on the page to five minutes
STAGES = ("from", "until", "bulk", "proof")

HOURS = """(rows) => rows.map((r) => {
  const h = kitchen.hours(shared, r, r.share, r.taken, r.fedAt), none = Array(8).fill(null);
  return {
    hours: h.doubts.length ? none : [h.from, h.until, h.mix, h.bulk, h.shaped, ...h.proof],
    bands: h.doubts.length ? null
      : Object.entries({ from: h.from, until: h.until, bulk: h.bulk, proof: h.proof[1] })
        .map(([name, middle]) => kitchen.band(r, h, name, middle)),
    cold: h.doubts.length ? null : kitchen.coldRises(shared, r, r.share),
    water: kitchen.water(shared, r, kitchen.levainAt(shared, r, r.fedAt, h.mix)).celsius,
    bake: kitchen.bakeMinutes(shared, r, true),
  };
})"""


def drawn(count: int, seed: int) -> OtherKitchens:
    """Kitchens at random: places of 15 to 31 °C that swing by up to 2 K, cultures as they are."""
    rng = np.random.default_rng(seed)
    return OtherKitchens(
        stands_c=rng.uniform(15.0, 31.0, count),
        swing_k=rng.uniform(0.0, 2.0, count),
        fridge_c=rng.uniform(2.0, 8.0, count),
        pace=np.exp(np.clip(rng.normal(0.0, 0.25, count), -0.55, 0.5)),
        batch_kg=np.exp(rng.uniform(log(0.6), log(18.0), count)),
        taken=rng.uniform(0.12, 0.88, count),
        fed_at=rng.uniform(0.0, 24.0, count),
    )


def compared(page: Page, problem: Problem, count: int, seed: int) -> dict[str, Any]:
    """The errors of a page that is open, against the engine of its formula in its kitchen."""
    kitchens, rng = drawn(count, seed), np.random.default_rng(seed + 1)
    flours = [problem, *(other for _, other, _ in other_flours(problem))]
    share = rng.integers(0, len(threads_of(problem)), count)
    flour = rng.integers(0, len(flours), count)
    room, friction = rng.uniform(12.0, 32.0, count), rng.uniform(0.0, 4.0, count)
    ovens = _ovens(problem, count, rng)
    rows = [
        {
            "stands": kitchens.stands_c[i], "swing": kitchens.swing_k[i], "room": room[i],
            "fridge": kitchens.fridge_c[i], "pace": kitchens.pace[i], "tap": 10.0,
            "batchKg": kitchens.batch_kg[i], "taken": kitchens.taken[i], "flour": int(flour[i]),
            "fedAt": kitchens.fed_at[i], "share": int(share[i]), "friction": friction[i],
            "paceSpread": 0.0, **ovens[i],
        }
        for i in range(count)
    ]  # fmt: skip
    page_says = page.evaluate(HOURS, json.loads(json.dumps(rows)))
    true = np.full((count, len(TIMES)), np.nan)
    cold, levain_c = [np.full(0, np.nan)] * count, np.full(count, np.nan)
    for number, each in enumerate(flours):
        for chosen, found in _truth(each, kitchens, np.where(flour == number, share, -1)):
            mix = found.ripe_from + kitchens.taken[chosen] * (found.ripe_until - found.ripe_from)
            shaped = mix + found.bulk + handling_h(problem.process)
            hours = [found.ripe_from, found.ripe_until, mix, found.bulk, shaped, *found.proof]
            true[chosen] = np.stack(hours, axis=-1)
            levain_c[chosen] = found.levain_c
            for i, rises in zip(chosen, found.cold, strict=True):
                cold[i] = rises
    said = np.array([[np.nan if x is None else x for x in row["hours"]] for row in page_says])
    unsure = np.isnan(said[:, TIMES.index("proof")])
    wrong = 60 * np.abs(said - true)[~unsure]
    rises = [
        np.abs(np.array(row["cold"], dtype=float) - cold[i])
        for i, row in enumerate(page_says)
        if row["cold"] and len(cold[i])
    ]
    sure = np.flatnonzero(~unsure & ~np.isnan(levain_c))
    water = [
        abs(
            page_says[i]["water"]
            - _water(flours[flour[i]], room[i], float(levain_c[i]), friction[i])
        )
        for i in sure
    ]
    minutes = [
        abs(page_says[i]["bake"] - truth)
        for i in range(min(count, BAKES))
        if (truth := _baked(problem, ovens[i])) is not None and page_says[i]["bake"] is not None
    ]
    return {
        "kitchens": count,
        "unsure": float(unsure.mean()),
        "within_20_min": float(np.mean(wrong[~np.isnan(wrong)] <= WITHIN_MIN)),
        "minutes": {name: _figures(wrong[:, i]) for i, name in enumerate(TIMES)},
        "rise_in_the_fridge": _figures(np.concatenate(rises)) if rises else None,
        "water_k": _figures(np.array(water)),
        "bake_minutes": _figures(np.array(minutes)),
        "within_bands": _within_bands(
            page_says, problem, kitchens, np.where((flour == 0) & ~unsure, share, -1)
        ),
    }


def _within_bands(
    page_says: list[dict[str, Any]], problem: Problem, kitchens: OtherKitchens, share: Floats
) -> dict[str, float]:
    """The share of an ensemble of cultures of one pace that falls within the page's 10 to 90 %,
    where it has a band: it gives none where a tenth of the cultures never come that far.

    share: the number of the share of seed of each kitchen; -1 where the page is not looked at.
    """
    share = np.where(np.cumsum(share >= 0) <= BANDED, share, -1)
    held: dict[str, list[Floats]] = {name: [] for name in STAGES}
    for number, thread in enumerate(threads_of(problem)):
        chosen = np.flatnonzero(share == number)
        if not len(chosen):
            continue
        some = OtherKitchens(*(getattr(kitchens, f.name)[chosen] for f in fields(kitchens)))
        found = thread.in_kitchens(some, MEMBERS)
        every = (found.ripe_from, found.ripe_until, found.bulk, found.proof[1])
        for place, (name, hours) in enumerate(zip(STAGES, every, strict=True)):
            bands = np.array([page_says[i]["bands"][place] for i in chosen], dtype=np.float64)
            each = hours.reshape(len(chosen), MEMBERS)
            inside = (each >= bands[:, :1] - PRINTED_H) & (each <= bands[:, 1:] + PRINTED_H)
            held[name].append(inside[np.isfinite(bands).all(axis=1)].ravel())
    return {name: float(np.mean(np.concatenate(each))) for name, each in held.items() if each}


def _truth(
    problem: Problem, kitchens: OtherKitchens, share: Floats
) -> Iterator[tuple[NDArray[np.intp], KitchenHours]]:
    for number, thread in enumerate(threads_of(problem)):
        chosen = np.flatnonzero(share == number)
        if len(chosen):
            some = OtherKitchens(*(getattr(kitchens, f.name)[chosen] for f in fields(kitchens)))
            yield chosen, SharedThread(thread.problem, thread.share).in_kitchens(some)


def _water(problem: Problem, room: float, levain: float, friction: float) -> float:
    mix = dough_mix(problem.formula, problem.pieces, problem.kitchen.flours)
    wanted = problem.process.dough_temperature.celsius
    return answer(question(mix, Warmths(wanted, room, levain, room, 10.0, friction))).water_c


def _ovens(problem: Problem, count: int, rng: np.random.Generator) -> list[dict[str, Any]]:
    own = problem.process.oven.celsius
    on = ["tin"] if problem.process.shape == "tin" else ["stone", "sheet", "pot"]
    return [
        {
            "pieceG": float(problem.piece_g) * rng.uniform(0.45, 1.9),
            "oven": own + rng.uniform(-45.0, 25.0),
            "height": rng.uniform(0.0, 3000.0),
            "on": str(rng.choice(on)),
        }
        for _ in range(count)
    ]


def _baked(problem: Problem, oven: dict[str, Any]) -> float | None:
    """The engine's minutes, times what the author bakes longer than it says."""
    what = oven_bake(
        problem.formula, problem.process, problem.kitchen, problem.piece_g, problem.pieces
    )
    elsewhere = replace(
        what, mass_kg=oven["pieceG"] / 1000, oven_c=oven["oven"], altitude_m=oven["height"],
        stands=BakedOn(oven["on"]),
    )  # fmt: skip
    try:
        own = problem.process.bake_minutes
        return bake(elsewhere).minutes * (1.0 if own is None else own / bake(what).minutes)
    except RangeError:
        return None


def _figures(values: Floats) -> dict[str, float]:
    known = values[~np.isnan(values)]
    middle, most, nearly = np.percentile(known, (50, 95, 99)) if len(known) else (inf, inf, inf)
    return {
        "p50": round(float(middle), 3),
        "p95": round(float(most), 3),
        "p99": round(float(nearly), 3),
        "most": round(float(known.max()), 3),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("formula", type=Path)
    parser.add_argument("--kitchens", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    formula = read_formula(asked.formula.read_text(encoding="utf-8"), str(asked.formula))
    kitchen = read_kitchen(KITCHEN.read_text(encoding="utf-8"), NOW, "kitchen.toml")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        there = Path(folder) / "page.html"
        there.write_text(share_formula(formula, kitchen, NOW), encoding="utf-8")
        path = next(filter(None, map(shutil.which, CHROMIUM)), None)
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(there.as_uri())
        problem = shared_problem(formula, kitchen, NOW)
        print(json.dumps(compared(page, problem, asked.kitchens, asked.seed)))
        browser.close()


if __name__ == "__main__":
    main()
