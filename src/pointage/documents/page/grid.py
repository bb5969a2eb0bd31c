"""The grid that a shared page reads a kitchen's hours from, computed by the engine beforehand.

Tables of hours are kept as 8,000 steps of their logarithm, which is nearly straight in temperature
and in the logarithms of pace and batch: so few nodes do, and the page draws straight lines between
them. What the page makes of it is compared with the engine in tests/documents and in
benchmarks/shared.py; docs/decisions/0029 has the figures.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from itertools import product
from typing import Any

import numpy as np

from pointage.culture.mature import feed, mature
from pointage.culture.vigour import TRIED_ON, to_peak_h
from pointage.documents.page.courses import (
    MEMBERS,
    RETARD_AT_H,
    SharedThread,
    handling_h,
    traits_of,
)
from pointage.documents.page.kitchens import WARMEST_AT, Floats, steady
from pointage.mixture.hold import hold
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.temperature.thermal import usual_follow
from pointage.mixture.traits import median_traits
from pointage.timetable.problem import Problem
from pointage.timetable.ways.levains import EDGE

STANDS_C = tuple(float(c) for c in range(13, 34, 2))
PACES = (0.55, 0.7, 0.88, 1.1, 1.38, 1.75)
TIMED_PACES = tuple(np.geomspace(0.55, 1.75, 13).tolist())
BATCH_KG = (0.45, 1.2, 3.2, 8.5, 22.0)
TAKEN = (EDGE, 0.5, 1 - EDGE)
FRIDGE_C = (1.0, 3.0, 5.0, 7.0, 10.0)
COLD_KG = (0.45, 3.2, 22.0)
SHARES = (1.0, 0.5, 0.3, 0.2, 0.12, 0.07)
COARSE_C = (13.0, 16.0, 20.0, 25.0, 29.0, 31.0, 33.0)
COARSE_PACES = (0.55, 0.9, 1.3, 1.75)
MIDDLE_KG = 3.2
WAVE_C, WAVE_PACES = (14.0, 17.5, 21.0, 25.0, 29.0, 31.5), (0.55, 0.85, 1.25, 1.65)
WAVES, PHASES = (1.0, 2.5), tuple(float(h) for h in range(0, 24, 3))
ENOUGH = 10  # of the hours that a wave is fitted to, where the others never come
STAGES = ("from", "until", "bulk", "proof")
DIGITS = "".join(chr(code) for code in range(35, 127) if chr(code) not in "<\\")
"""What can stand in JSON in a script element as it is. Two of these are a step of a table."""
MISSING = len(DIGITS) ** 2 - 1
STEPS = MISSING - 1
LEAST = 0.05
"""Of what is kept in a table; three minutes for hours."""
ANY_DAY = datetime(2026, 1, 1, tzinfo=UTC)

LAST_RISE_C = (14.0, 18.0, 22.0, 26.0, 30.0)
LAST_RISE_SHARES = (0.05, 0.1, 0.2, 0.5, 1.0)
"""Where "how it rose last time" is read: seed over flour, in white wheat and as much water."""
LAST_RISE_H = 60.0
PACE_SPREAD = 0.25
"""Spread of the logarithm of the pace while nobody says it: that of traits.toml."""


def packed(values: Floats) -> dict[str, Any]:
    """A table of positive numbers as text: low, high (logarithms) and steps, two digits each.

    Over a range from a quarter of an hour to 30 hours half a step is 0.03 %.
    """
    logs = np.log(np.maximum(values, LEAST))
    known = logs[~np.isnan(logs)]
    low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 1.0)
    high = max(high, low + 1e-9)
    steps = np.where(np.isnan(logs), MISSING, np.rint((logs - low) / (high - low) * STEPS))
    first, second = np.divmod(steps.astype(np.intp).ravel(), len(DIGITS))
    digits = np.array(list(DIGITS))[np.stack([first, second], axis=1)]
    shape = list(values.shape)
    return {"low": low, "high": high, "shape": shape, "steps": "".join(digits.ravel())}


def grid_of(
    problem: Problem, reached: Callable[[float], None] = lambda share: None
) -> dict[str, Any]:
    """The tables of a formula, by name, with their axes. reached: how far it is, 0 to 1."""
    threads = threads_of(problem)
    levain, dough, spread = [], [], []
    for number, thread in enumerate(threads):
        found = _over(thread, STANDS_C, PACES, BATCH_KG, TAKEN)
        at_once = [each[0, ..., 1] for each in _windows(found)]
        levain.append(np.stack([*at_once, found["peak"][0, ..., 1]], axis=-1))
        early = _over(replace(thread, early=True), STANDS_C, PACES, BATCH_KG, TAKEN)
        dough.append(np.stack([found["bulk"], *found["proof"], early["bulk"]], axis=-1)[0])
        spread.append(_spread(thread))
        reached((number + 1) / (len(threads) + 1))
    some = sorted({0, len(threads) // 2, len(threads) - 1})
    return {
        "axes": {
            "share": [thread.share for thread in threads],
            "stands": STANDS_C,
            "pace": np.log(PACES).tolist(),
            "batch": np.log(BATCH_KG).tolist(),
            "taken": TAKEN,
            "fridge": FRIDGE_C,
            "coldAt": RETARD_AT_H,
            "coldShare": [-np.log(threads[i].share) for i in some],
            "coldBatch": np.log(COLD_KG).tolist(),
            "coarseStands": COARSE_C,
            "coarsePace": np.log(COARSE_PACES).tolist(),
            "levainFollows": _follows(problem),
            "waveStands": WAVE_C,
            "wavePace": np.log(WAVE_PACES).tolist(),
            "swing": WAVES[-1],
            "lastStands": LAST_RISE_C,
            "lastShare": np.log(LAST_RISE_SHARES).tolist(),
        },
        "levain": packed(np.stack(levain)),
        "dough": packed(np.stack(dough)),
        "wave": packed(_filled(_waves(threads), 1, 2)),
        "spread": packed(np.stack(spread)),
        "cold": packed(_cold([threads[i] for i in some])) if problem.process.retard_rise else None,
        "last": packed(_last_rise()),
        "paces": np.log(TIMED_PACES).tolist(),
        "peakAtPace": to_peak_h(traits_of(np.array(TIMED_PACES))).tolist(),
        "paceSpread": PACE_SPREAD,
    }


def threads_of(problem: Problem) -> list[SharedThread]:
    """The formula with each share of seed that a page may choose; its own if it is given."""
    given = problem.build_stages[0].seed
    shares = SHARES if given is None else (float(given),)
    found = [
        thread for thread in (SharedThread(problem, share) for share in shares) if thread.fits()
    ]
    return found or [SharedThread(problem, shares[-1])]


def against(base: Problem, other: Problem) -> dict[str, Any]:
    """What hours with another flour are over those with the formula's own, on the coarse nodes."""
    threads = [threads_of(each)[len(threads_of(each)) // 2] for each in (base, other)]
    was, will = (
        _stacked(_over(each, COARSE_C, COARSE_PACES, (MIDDLE_KG,), (0.5,))) for each in threads
    )
    return packed(_filled((will / was)[0], 0, 1))


def _filled(ratios: Floats, *axes: int) -> Floats:
    """With the nearest node's in place of what is missing, along one axis and then the next.

    Where one share of seed never ripens in a cold place, another may; a ratio changes little from
    node to node, and the hours that it multiplies say themselves where they never come.
    """
    for axis in axes:
        nodes = np.moveaxis(ratios, axis, 0)
        found = nodes.copy()
        for i, j in sorted(product(range(len(nodes)), repeat=2), key=lambda ij: abs(ij[0] - ij[1])):
            found[i] = np.where(np.isnan(found[i]), nodes[j], found[i])
        ratios = np.moveaxis(found, 0, axis)
    return ratios


def _over(  # noqa: PLR0917
    thread: SharedThread,
    stands: Sequence[float],
    paces: Sequence[float],
    batches: Sequence[float],
    taken: Sequence[float],
    members: int = 1,
) -> dict[str, Any]:
    """What is found at every combination, as arrays (members, stands, pace, batch, taken)."""
    every = np.array(list(product(stands, paces, batches, taken)))
    found = thread.in_kitchens(steady(every[:, 0], every[:, 1], every[:, 2], every[:, 3]), members)
    shape = (len(stands), len(paces), len(batches), len(taken), members)

    def table(values: Floats) -> Floats:
        return np.moveaxis(values.reshape(shape), -1, 0)

    return {
        "builds": [[table(edge) for edge in each] for each in found.builds],
        "ripe": [table(found.ripe_from), table(found.ripe_until)],
        "peak": table(found.peak),
        "bulk": table(found.bulk),
        "proof": [table(each) for each in found.proof],
    }


def _windows(found: dict[str, Any]) -> list[Floats]:
    """Both edges of the window of each build, the levain last."""
    return [edge for each in (*found["builds"], found["ripe"]) for edge in each]


def _stacked(found: dict[str, Any]) -> Floats:
    """Levain from and until, bulk and proof, (members, stands, pace, 4)."""
    every = [*found["ripe"], found["bulk"], found["proof"][1]]
    return np.stack([each[:, :, :, 0, 0] for each in every], axis=-1)


def _spread(thread: SharedThread) -> Floats:
    """10 and 90 % of an ensemble over its middle, (stands, pace, 4, 2)."""
    found = _stacked(_over(thread, COARSE_C, COARSE_PACES, (MIDDLE_KG,), (0.5,), MEMBERS))
    late = np.where(np.isnan(found), np.inf, found)
    low, middle, high = np.percentile(late, (10, 50, 90), axis=0, method="nearest")
    with np.errstate(invalid="ignore"):
        ratios = np.stack([low / middle, high / middle], axis=-1)
    return np.where(np.isfinite(ratios), ratios, np.nan)


def _cold(threads: Sequence[SharedThread]) -> Floats:
    """The rise in fridges, (early, share, stands, pace, batch, fridge, times); of some shares."""
    axes = (WAVE_C, WAVE_PACES, COLD_KG, FRIDGE_C)
    every = np.array(list(product(*axes)))
    kitchens = steady(every[:, 0], every[:, 1], every[:, 2]).with_fridge(every[:, 3])
    found = [
        replace(thread, early=early).in_kitchens(kitchens).cold
        for early in (True, False)
        for thread in threads
    ]
    return np.stack(found).reshape(2, len(threads), *map(len, axes), len(RETARD_AT_H))


def _last_rise() -> Floats:
    """Hours to its height of white wheat fed with a share of culture, (stands, share, pace)."""
    traits = traits_of(np.array(PACES))
    culture = mature(TRIED_ON, 1.0, traits)
    rows = []
    for celsius, share in product(LAST_RISE_C, LAST_RISE_SHARES):
        fed = feed(
            culture, 100.0 * share, {k: 100.0 * v for k, v in TRIED_ON.items()}, 100.0, celsius
        )
        course = hold(fed, Constant(celsius), ANY_DAY, LAST_RISE_H, traits, every_min=15)
        rows.append(course.peak_h())
    return np.array(rows).reshape(len(LAST_RISE_C), len(LAST_RISE_SHARES), len(PACES))


def _waves(threads: Sequence[SharedThread]) -> Floats:
    """What the day's wave does to the hours of each stage, (share, stands, pace, stage, terms).

    ln t = ln t₀ + s·(a cos φ + b sin φ) + s²·(c + d cos 2φ + e sin 2φ), with s the swing in K and
    φ the hour at which the stage begins, as an angle from the warmest; fitted to WAVES at PHASES.
    Kept as exponentials, as tables are.
    """
    found = []
    for thread in threads:
        nodes = np.array(list(product(WAVE_C, WAVE_PACES, (0.0, *WAVES), PHASES)))
        even = steady(nodes[:, 0], nodes[:, 1], np.full(len(nodes), MIDDLE_KG))
        came = thread.in_kitchens(replace(even, swing_k=nodes[:, 2], fed_at=nodes[:, 3]))
        mix = came.ripe_from + 0.5 * (came.ripe_until - came.ripe_from)
        process = thread.problem.process
        shaped = mix + came.bulk + handling_h(process)
        begins = np.stack([0 * mix, 0 * mix, mix, shaped], axis=-1) + nodes[:, 3:]
        lasts = np.stack([came.ripe_from, came.ripe_until, came.bulk, came.proof[1]], axis=-1)
        shape = (len(WAVE_C) * len(WAVE_PACES), 1 + len(WAVES), len(PHASES), len(STAGES))
        logs = np.log(np.maximum(lasts, LEAST)).reshape(shape)
        logs = (logs - logs[:, :1])[:, 1:].reshape(shape[0], -1, shape[3])
        angle = (
            (begins.reshape(shape)[:, 1:].reshape(shape[0], -1, shape[3]) - WARMEST_AT) * np.pi / 12
        )
        swing = np.repeat(WAVES, len(PHASES))[None, :, None]
        terms = np.stack(
            [
                swing * np.cos(angle), swing * np.sin(angle), swing**2 + 0 * angle,
                swing**2 * np.cos(2 * angle), swing**2 * np.sin(2 * angle),
            ],
            axis=-1,
        )  # fmt: skip
        found.append(
            [
                [_fitted(terms[i, :, k], logs[i, :, k]) for k in range(len(STAGES))]
                for i in range(shape[0])
            ]
        )
    return np.asarray(
        np.exp(np.array(found).reshape(len(threads), len(WAVE_C), len(WAVE_PACES), len(STAGES), 5))
    )


def _fitted(terms: Floats, logs: Floats) -> Floats:
    known = np.isfinite(logs) & np.isfinite(terms).all(axis=-1)
    if known.sum() < ENOUGH:
        return np.full(terms.shape[-1], np.nan)
    return np.asarray(np.linalg.lstsq(terms[known], logs[known], rcond=None)[0])


def _follows(problem: Problem) -> list[float]:
    """Hours with which the levain of each batch follows its place."""
    levain = problem.prime(problem.builds[-1], median_traits())
    part = problem.formula.whole(problem.levain_stage).mass / sum(problem.formula.total.values())
    return [usual_follow(levain.scaled(1000 * kg * float(part))).hours for kg in BATCH_KG]
